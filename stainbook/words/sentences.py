"""Why a move is offered and what is known of a zone's verdict, in one sentence as it would be said at the bench."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stainbook.errors import some_of
from stainbook.words import mixes
from stainbook.words.chances import chance
from stainbook.words.hues import hue_towards
from stainbook.words.places import place

if TYPE_CHECKING:  # data alone: nothing of the engine is loaded for its words
    from stainbook.match.reasons import ColourShift, Reason, ZoneNote

_OF = {" a touch": " a touch of", " a lot": " a lot of"}
_UNSEEN = 0.25  # ΔE00 of one part of a shift that is not worth a word
NO_LIQUID = "no liquid brings gum there: do not stain it now"
AS_IT_IS = "as it is"
NO_STAIN = (
    "nothing to mix: no stain that this material and stage bear is on the list; it takes one among the lab's stains, "
    "and in limits: stains where the case names any"
)
NO_FIRING_LEFT = "no firing remains; it takes limits: firings_left of 1 or more, where the piece bears another firing"
NONE_BEARS = (
    "nothing to lay on: each stain on the list has been through the most firings that its maker allows; it takes "
    "another stain, or stripping"
)
RETURNED_FIRST = "first debond, clean and dry it fully, as the makers' instructions say"


def why(reason: Reason, *, mixes_beside: bool = False) -> str:
    """The reason for one step, in one sentence.

    Parameters
    ----------
    reason : what the engine has of the step
    mixes_beside : the mixes stand beside the sentence, which then leaves them out

    >>> import numpy as np
    >>> from stainbook.match.reasons import Reason, shift_of
    >>> from stainbook.records import Layer, Pot
    >>> bare, after, target = (np.array(lab) for lab in ([75, 1, 14], [72, 1, 14], [72.2, 1, 14.2]))
    >>> layers = (Layer(Pot.of({"slate": 1 / 4})),)
    >>> why(Reason("add", layers, shift_of(after, bare), shift_of(after, target), 0.8))
    '1 coat of (1 part slate + 3 parts clear) takes value down a little; ends on the target'
    """
    end = ending(reason.ends, reason.perceptible)
    if reason.does is None or not reason.layers:
        said = f"it {end} {'with the glaze alone' if reason.fires else 'as it is'}"
    else:
        many = mixes_beside or sum(one.coats for one in reason.layers) > 1
        painted = "" if mixes_beside else f"{mixes.layers(reason.layers, liquid=reason.liquid)} "
        said = f"{_start(reason)}{painted}{effect(reason.does, many=many)}; {end}"
    apart = [f"painted otherwise than {place(*reason.unlike)}, which pays for itself"] if reason.unlike else []
    return "; ".join([said, *_doubts(reason), *apart])


def step(kind: str, layers: Sequence[mixes.Coated], *, body: str | None = None, liquid: bool = False) -> str:
    """A next step in one line.

    Parameters
    ----------
    kind : ``add``, ``leave``, ``strip and restain`` or ``remake``
    layers : bottom first
    body : the blank of a remake
    liquid : the layers soak in

    >>> step("leave", []), step("remake", [], body="weir")
    ('as it is', 'remake on the blank weir')
    """
    painted = mixes.layers(layers, liquid=liquid)
    if kind == "strip and restain":
        return f"strip it to the bare piece, then {painted}" if painted else "strip it to the bare piece"
    if kind == "remake":
        return f"remake on the blank {body}" + (f", then {painted}" if painted else "")
    return painted if painted and kind == "add" else AS_IT_IS


def effect(shift: ColourShift, *, many: bool) -> str:
    """What layers do to value, chroma and hue; ``many`` picks the verb for several coats."""
    value, chroma, hue = (_amount(size) for size in (shift.value, shift.chroma, shift.hue))
    s = "" if many else "s"
    told = []
    if value is not None:
        told.append(f"take{s} value down{value}" if shift.dL < 0 else f"lift{s} value{value}")
    if chroma is not None:
        told.append(f"add{s}{_OF.get(chroma, chroma)} chroma" if shift.dC > 0 else f"take{s} chroma down{chroma}")
    if hue is not None:
        told.append(f"turn{s} hue{hue} towards {hue_towards(shift.h, shift.dH)}")
    return _listed(told) if told else f"hardly change{s} the colour"


def ending(shift: ColourShift, perceptible: float) -> str:
    """How far a step ends from the target, by the largest part of ΔE00; ``perceptible`` is the threshold in ΔE00."""
    if shift.dE00 <= 0.5 * perceptible:
        return "ends on the target"
    words = (
        (shift.value, "dark" if shift.dL < 0 else "light"),
        (shift.chroma, "strong in chroma" if shift.dC > 0 else "weak in chroma"),
        (shift.hue, hue_towards(shift.h, shift.dH)),
    )
    size, word = max(words)
    amount = "slightly " if size < 1.5 * perceptible else "" if size < 4.0 * perceptible else "far "
    return f"stays {amount}too {word}"


def note(told: ZoneNote) -> str:
    """The sentence about a zone's verdict.

    Parameters
    ----------
    told : what the engine has of it

    >>> from stainbook.match.reasons import ZoneNote
    >>> note(ZoneNote("would help", strip=True))
    'it would take stripping and restaining'
    """
    if told.what == "accepted":
        return "it is in tolerance as it is, surely enough"
    if told.what == "no firing":
        return no_firing(told.stage)
    if told.what == "no liquid":
        return no_liquid(told.later)
    return _would_help(told) if told.what == "would help" else NO_FIRING_LEFT


def no_liquid(later: float | None) -> str:
    """That no liquid brings gum there, and the chance of surface stain after sintering; None: none may follow.

    >>> no_liquid(0.7)
    'no liquid brings gum there: do not stain it now; surface stain on the sintered piece has about 7 in 10'
    """
    if later is None:
        return f"{NO_LIQUID}; no surface stain may follow"
    return f"{NO_LIQUID}; surface stain on the sintered piece has {chance(later)}"


def no_firing(stage: str | None) -> str:
    """The reason why nothing is fired at a stage.

    >>> no_firing("trial"), no_firing("bonded")
    ('a provisional is never fired', 'a bonded piece is not fired')
    """
    return "a provisional is never fired" if stage == "trial" else f"a {stage} piece is not fired"


def _would_help(told: ZoneNote) -> str:
    helps = ["a stain that this material and stage bear: none is on the list"] if told.no_stain else []
    helps += ["stripping and restaining"] if told.strip else []
    helps += ["a reading of the bare piece, to see what stripping and restaining would give"] if told.read_bare else []
    helps += [f"another blank, {_wants(told.lacks)}"] if told.lacks is not None else []
    helps += [f"stripes of {some_of(told.unseen)}, whose strength is a guess so far"] if told.unseen else []
    return "it would take " + ", or ".join(helps)


def _wants(lacks: ColourShift) -> str:
    """The blank that the target asks for, from the way that the best move ends."""
    if lacks.value >= lacks.chroma:
        return "a lighter one" if lacks.dL < 0 else "a darker one"
    return "one with more chroma" if lacks.dC < 0 else "one with less chroma"


def _start(reason: Reason) -> str:
    if reason.kind == "strip and restain":
        return "strip it to the bare piece, then "
    return f"on the blank {reason.on}, " if reason.kind == "remake" else ""


def _doubts(reason: Reason) -> list[str]:
    told = []
    if reason.face_unknown:
        told.append("the doubt is wide, for no clear-glaze stripe of this material shows what the glaze does to it")
    if reason.unseen:
        fire = f"fire{'s' * (len(reason.unseen) == 1)}"
        told.append(f"the doubt is wide, for no stripe shows how strong {' and '.join(reason.unseen)} {fire}")
    return told


def _amount(size: float) -> str | None:
    """How much, with a blank before it; None when it is not worth a word."""
    if size < _UNSEEN:
        return None
    return " a touch" if size < 0.8 else " a little" if size < 2.5 else "" if size < 6.0 else " a lot"


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
