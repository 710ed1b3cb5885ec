"""A plan and its sheet in words: passes over the piece, coats of each mix, what is not painted, the chance of all."""

from __future__ import annotations

from collections.abc import Sequence

from stainbook.words.chances import chance, expected_in_tolerance
from stainbook.words.figures import counted

_PASSES = ("First layers", "Second layers", "Third layers", "Fourth layers")
_FIRED = ("after this firing", "within the firings that remain")
BY_WEIGHT = "Parts are by weight, of {forms} as in the jar; liquid that is added to work it is no part."
SOAKED = "Parts are by weight; a liquid is thinned with the thinning liquid of its own system, never with clear glaze."
NO_PROGRAMME = "Firing programme: the one of the maker's sheet for this material; none is named in the case."
READY = "stands ready"
CLOCK = "The day's clock: last colouring __ : __, dried at __ : __, into the furnace __ : __, read tomorrow."
CASE_MARK = "Case mark {mark}."
NO_FIRING = "No firing is proposed."
NO_NEARER = "Out of tolerance all the same, stain comes no nearer"
NEAREST = "Stain brings no zone to its target: what stands here is the nearest that it comes."


def heading(number: int, count: int, *, liquid: bool = False) -> str:
    """The heading of one of ``count`` passes, counted from 0.

    >>> heading(0, 1, liquid=True)
    "First layers, then dry fully and sinter by the maker's sheet"
    """
    name = pass_name(number)
    if number + 1 < count:
        return f"{name}, then dry the whole piece before next"
    last = "dry fully and sinter by the maker's sheet" if liquid else "dry the piece and fire it"
    return f"{name}, then {last}"


def pass_name(number: int) -> str:
    """One of the passes over the piece, counted from 0.

    >>> pass_name(1)
    'Second layers'
    """
    return _PASSES[number] if number < len(_PASSES) else f"Layers {number + 1}"


def by_weight(forms: Sequence[str] = (), *, liquid: bool = False) -> str:
    """The sentence that parts are by weight, and of what; each sheet has it once.

    Parameters
    ----------
    forms : of the stains, ``paste`` or ``powder``; both where none is named
    liquid : of stains that soak in

    >>> by_weight(["paste"])
    'Parts are by weight, of paste as in the jar; liquid that is added to work it is no part.'
    """
    return SOAKED if liquid else BY_WEIGHT.format(forms=" and ".join(forms) or "paste or powder")


def programme(name: str | None) -> str:
    """The firing programme of a sheet; None gives the sentence that the case names none.

    >>> programme("glaze-770")
    'Programme glaze-770, as its sheet has it'
    """
    return f"Programme {name}, as its sheet has it" if name else NO_PROGRAMME


def expected(
    count: float, zones: int, *, one_more: float = 0.0, back: Sequence[tuple[str, str]] = (), liquid: bool = False
) -> str:
    """How many zones are expected in tolerance, what one more mix brings, and which zones limit the case.

    Parameters
    ----------
    count, zones : the sum of the zones' chances, and how many zones those are
    one_more : the same sum with one more mix
    back : zones, and what would help each
    liquid : of liquids, on which surface stain is to follow

    >>> expected(44.3, 59, one_more=46.1)
    '44 of 59 zones expected in tolerance; one more mix brings 2.'
    """
    said = expected_in_tolerance(count, zones) + (" once surface stain has followed" if liquid else "")
    brings = round(one_more) - round(count)
    said += f"; one more mix brings {brings}." if brings > 0 else "."
    if back:
        said += f" What holds the case back: {'; '.join(f'{zone} ({helps})' for zone, helps in back)}."
    return said


def effort(fresh: int, dryings: int, minutes: float, *, at_hand: tuple[float, int] | None = None) -> str:
    """What a plan asks of the bench, and how many zones mixes that stand ready would bring there in one pass.

    >>> effort(4, 1, 21.0, at_hand=(40.6, 48))
    'About 21 minutes: 4 mixes to weigh, 1 drying between; standing mixes in one pass take none: 41 of 48 zones.'
    """
    if not minutes:
        return ""
    asked = [f"{counted(fresh, 'mix')} to weigh"] if fresh else []
    asked += [f"{dryings} drying{'s' if dryings > 1 else ''} between"] if dryings else []
    said = f"About {minutes:.0f} minutes: {', '.join(asked)}"
    if at_hand is not None:
        said += f"; standing mixes in one pass take none: {round(at_hand[0])} of {counted(at_hand[1], 'zone')}"
    return f"{said}."


def whole(
    mixes: int,
    at_once: float,
    within: float,
    *,
    lost: bool = False,
    more: tuple[float, int] | None = None,
    liquid: bool = False,
) -> str:
    """The chance of a whole case.

    Parameters
    ----------
    mixes : their number in the plan
    at_once, within : chances, 0 to 1, after this firing, and within the firings that remain
    lost : some zones are no part of it, since stain cannot bring them there
    more : the chance with as many mixes as the zones could wish for, and how many that are
    liquid : of liquids, on which surface stain is to follow

    >>> whole(3, 0.62, 0.88)
    '3 mixes: all zones in tolerance after this firing about 6 in 10, within the firings that remain about 9 in 10.'
    """
    whom = "all zones that stain can bring there" if lost else "all zones"
    wished = f"; {chance(more[0])} with {more[1]} mixes" if more is not None else ""
    first, then = ("sintered without surface stain", "with the surface stain that may follow") if liquid else _FIRED
    return f"{counted(mixes, 'mix')}: {whom} in tolerance {first} {chance(at_once)}, {then} {chance(within)}{wished}."


def moved(then: str, now: str, zones: Sequence[str]) -> str:
    """The sentence that the chance of chosen steps has changed since they were chosen; both chances are words.

    >>> moved("about 8 in 10", "about 5 in 10", ["11 middle"])
    'Chance when it was chosen about 8 in 10, now about 5 in 10: 11 middle.'
    """
    return f"Chance when it was chosen {then}, now {now}: {', '.join(zones)}."
