"""A plan and its sheet in words: passes over the piece, coats of each mix, what is not painted, the chance of all."""

from __future__ import annotations

from collections.abc import Sequence

from stainbook.language import joined, listed, say, say_n
from stainbook.words.chances import chance, expected_in_tolerance

_PASSES = (say("First layers"), say("Second layers"), say("Third layers"), say("Fourth layers"))
_FORMS = {"paste": say("paste"), "powder": say("powder"), "liquid": say("liquid")}
SOAKED = say(
    "Parts are by weight; a liquid is thinned with the thinning liquid of its own system, never with clear glaze."
)
NO_PROGRAMME = say("Firing programme: the one of the maker's sheet for this material; none is named in the case.")
READY = say("stands ready")
CLOCK = say("The day's clock: last colouring __ : __, dried at __ : __, into the furnace __ : __, read tomorrow.")
NO_FIRING = say("No firing is proposed.")
NO_NEARER = say("Out of tolerance all the same, stain comes no nearer")
NEAREST = say("Stain brings no zone to its target: what stands here is the nearest that it comes.")
MOST_READ, READ_MINUTES, RECORD_MINUTES = (
    8,
    1,
    2,
)  # of an arch: a minute a reading, three times seated


def heading(number: int, count: int, *, liquid: bool = False) -> str:
    """The heading of one of ``count`` passes, counted from 0.

    >>> heading(0, 1, liquid=True)
    "First layers, then dry fully and sinter by the maker's sheet"
    """
    name = pass_name(number)
    if number + 1 < count:
        return say("{layers}, then dry the whole piece before next", layers=name)
    if liquid:
        return say("{layers}, then dry fully and sinter by the maker's sheet", layers=name)
    return say("{layers}, then dry the piece and fire it", layers=name)


def pass_name(number: int) -> str:
    """One of the passes over the piece, counted from 0.

    >>> pass_name(1)
    'Second layers'
    """
    return _PASSES[number] if number < len(_PASSES) else say("Layers {number}", number=number + 1)


def by_weight(forms: Sequence[str] = (), *, liquid: bool = False) -> str:
    """The sentence that parts are by weight, and of what; each sheet has it once.

    Parameters
    ----------
    forms : of the jars that are used, as the lab has them: paste, powder or liquid
    liquid : of liquids that soak in, which their own liquid thins

    >>> by_weight(["powder"])
    'Parts are by weight, of powder as in the jar; liquid that is added to work it is no part.'
    """
    if liquid:
        return SOAKED
    known = listed([_FORMS[one] for one in _FORMS if one in forms]) or say("paste or powder")
    return say(
        "Parts are by weight, of {forms} as in the jar; liquid that is added to work it is no part.", forms=known
    )


def case_mark(mark: str) -> str:
    """The mark of the state of a case, as its sheet carries it.

    >>> case_mark("8aa76b77e71d")
    'Case mark 8aa76b77e71d: a sheet with another mark is of another state of this case.'
    """
    return say("Case mark {mark}: a sheet with another mark is of another state of this case.", mark=mark)


def programme(name: str | None) -> str:
    """The firing programme of a sheet; None gives the sentence that the case names none.

    >>> programme("glaze-770")
    'Programme glaze-770, as its sheet has it'
    """
    return say("Programme {name}, as its sheet has it", name=name) if name else NO_PROGRAMME


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
    told = expected_in_tolerance(count, zones)
    if liquid:
        told = say("{expected} once surface stain has followed", expected=told)
    brings = round(one_more) - round(count)
    more = say("{expected}; one more mix brings {brings}.", expected=told, brings=brings)
    said = [more if brings > 0 else say("{sentence}.", sentence=told)]
    if back:
        helped = [say("{zone} ({helps})", zone=zone, helps=helps) for zone, helps in back]
        said.append(say("What holds the case back: {zones}.", zones=joined(helped, "; ")))
    return joined(said, " ")


def effort(
    fresh: int, dryings: int, minutes: float, *, zones: int = MOST_READ, at_hand: tuple[float, int] | None = None
) -> str:
    """What a plan asks of the bench, and how many zones mixes that stand ready would bring there in one pass.

    >>> effort(4, 1, 21.0, at_hand=(40.6, 48))
    'About 31 minutes at the bench: 10 to read, type and record, 21 for 4 mixes to weigh, 1 drying between; standing \
mixes in one pass spare the 21: 41 of 48 zones.'
    >>> effort(0, 0, 0.0)
    'About 10 minutes at the bench, to read, type and record.'
    """
    usual = READ_MINUTES * min(zones, MOST_READ) + RECORD_MINUTES
    if not minutes:
        return say("About {minutes} minutes at the bench, to read, type and record.", minutes=usual)
    asked = [say_n("{n} mix to weigh", "{n} mixes to weigh", fresh)] if fresh else []
    asked += [say_n("{n} drying between", "{n} dryings between", dryings)] if dryings else []
    told = say(
        "About {all:.0f} minutes at the bench: {usual} to read, type and record, {minutes:.0f} for {asked}",
        all=minutes + usual,
        usual=usual,
        minutes=minutes,
        asked=joined(asked),
    )
    if at_hand is None:
        return say("{sentence}.", sentence=told)
    return say(
        "{told}; standing mixes in one pass spare the {minutes:.0f}: {expected} of {zones}.",
        told=told,
        minutes=minutes,
        expected=round(at_hand[0]),
        zones=say_n("{n} zone", "{n} zones", at_hand[1]),
    )


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
    told = _whole(chance(at_once), chance(within), lost=lost, liquid=liquid)
    if more is not None:
        told = say_n(
            "{chances}; {chance} with {n} mix",
            "{chances}; {chance} with {n} mixes",
            more[1],
            chances=told,
            chance=chance(more[0]),
        )
    return say_n("{n} mix: {chances}.", "{n} mixes: {chances}.", mixes, chances=told)


def _whole(at_once: str, within: str, *, lost: bool, liquid: bool) -> str:
    if liquid and lost:
        return say(
            "all zones that stain can bring there in tolerance sintered without surface stain {at_once}, with the "
            "surface stain that may follow {within}",
            at_once=at_once,
            within=within,
        )
    if liquid:
        return say(
            "all zones in tolerance sintered without surface stain {at_once}, with the surface stain that may follow "
            "{within}",
            at_once=at_once,
            within=within,
        )
    if lost:
        return say(
            "all zones that stain can bring there in tolerance after this firing {at_once}, within the firings that "
            "remain {within}",
            at_once=at_once,
            within=within,
        )
    return say(
        "all zones in tolerance after this firing {at_once}, within the firings that remain {within}",
        at_once=at_once,
        within=within,
    )


def moved(then: str, now: str, zones: Sequence[str]) -> str:
    """The sentence that the chance of chosen steps has changed since they were chosen; both chances are words.

    >>> moved("about 8 in 10", "about 5 in 10", ["11 middle"])
    'Chance when it was chosen about 8 in 10, now about 5 in 10: 11 middle.'
    """
    return say("Chance when it was chosen {then}, now {now}: {zones}.", then=then, now=now, zones=joined(zones))
