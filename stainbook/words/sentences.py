"""Why a move is offered and what is known of a zone's verdict, in one sentence as it would be said at the bench."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import reduce
from typing import TYPE_CHECKING, cast

from stainbook.errors import some_of
from stainbook.language import Text, either, joined, listed, say, say_as, say_n
from stainbook.words import mixes
from stainbook.words.chances import chance
from stainbook.words.hues import too_much_of
from stainbook.words.places import place
from stainbook.words.shifts import effect

if TYPE_CHECKING:  # data alone: nothing of the engine is loaded for its words
    from stainbook.match.reasons import ColourShift, Reason, ZoneNote

NO_LIQUID = say("no liquid brings gum there: do not stain it now")
AS_IT_IS = say("as it is")
NO_STAIN = say(
    "nothing to mix: no stain that this material and stage bear is on the list; it takes one among the lab's stains, "
    "and in limits: stains where the case names any"
)
NO_FIRING_LEFT = say(
    "no firing remains; it takes limits: firings_left of 1 or more, where the piece bears another firing"
)
NONE_BEARS = say(
    "nothing to lay on: each stain on the list has been through the most firings that its maker allows; it takes "
    "another stain, or stripping"
)
RETURNED_FIRST = say("first debond, clean and dry it fully, as the makers' instructions say")


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
    apart = []
    if reason.unlike:
        apart = [say("painted otherwise than {zone}, which pays for itself", zone=place(*reason.unlike))]
    return joined([_what_it_does(reason, mixes_beside), *_doubts(reason), *apart], "; ")


def _what_it_does(reason: Reason, mixes_beside: bool) -> str:
    end = ending(reason.ends, reason.perceptible)
    if reason.does is None or not reason.layers:
        return say("it {ends} with the glaze alone", ends=end) if reason.fires else say("it {ends} as it is", ends=end)
    does = effect(reason.does, many=mixes_beside or sum(one.coats for one in reason.layers) > 1)
    if not mixes_beside:
        painted = mixes.layers(reason.layers, liquid=reason.liquid)
        does = say("{layers} {effect}", layers=painted, effect=does)
    if reason.kind == "strip and restain":
        return say("strip it to the bare piece, then {effect}; {ends}", effect=does, ends=end)
    if reason.kind == "remake":
        return say("on the other blank, {effect}; {ends}", effect=does, ends=end)
    return say("{effect}; {ends}", effect=does, ends=end)


def without_mixes(said: str) -> str:
    """The reason for a step without its mixes, where these stand beside it; a plain string stays as it is.

    >>> painted = say("{layers} {effect}", layers="2 coats of peat undiluted", effect="add chroma")
    >>> without_mixes(joined([painted, "ends on the target"], "; "))
    'add chroma; ends on the target'
    """
    if not isinstance(said, Text):
        return said
    if set(said.values) == {"layers", "effect"}:
        return cast(str, said.values["effect"])
    values = {name: without_mixes(one) if isinstance(one, str) else one for name, one in said.values.items()}
    return Text.of(said.template, values, many=said.many, context=said.context, capital=said.capital)


def step(kind: str, layers: Sequence[mixes.Coated], *, liquid: bool = False) -> str:
    """A next step of a zone in a line: ``2 coats of (…), dried, then 1 coat of (…)``, or what else is to be done.

    A piece is milled from one blank, which `remade_on` names once a piece.

    Parameters
    ----------
    kind : ``add``, ``leave``, ``strip and restain`` or ``remake``
    layers : bottom first
    liquid : the layers soak in

    >>> step("leave", []), step("remake", [])
    ('as it is', 'remake')
    """
    painted = mixes.layers(layers, liquid=liquid)
    if kind == "strip and restain":
        if painted:
            return say("strip it to the bare piece, then {layers}", layers=painted)
        return say("strip it to the bare piece")
    if kind == "remake":
        return say("remake, then {layers}", layers=painted) if painted else say("remake")
    return painted if painted and kind == "add" else AS_IT_IS


def remade_on(blanks: Iterable[object], zones: Iterable[str] = ()) -> str:
    """Which blank a piece is remade on: one line a piece.

    Parameters
    ----------
    blanks : names
    zones : those that nothing else brings to their target, where other zones are painted; none: the whole piece

    >>> remade_on(["stile"])
    'Remake on the blank stile.'
    >>> remade_on(["stile"], ["12 cervical"])
    'Only a remake on the blank stile would bring these to their targets: 12 cervical.'
    """
    blank, those = either(sorted({str(one) for one in blanks})), joined(zones)
    if not those:
        return say("Remake on the blank {blank}.", blank=blank)
    return say(
        "Only a remake on the blank {blank} would bring these to their targets: {zones}.", blank=blank, zones=those
    )


def ending(shift: ColourShift, perceptible: float) -> str:
    """How far a step ends from the target, by the largest part of ΔE00; ``perceptible`` is the threshold in ΔE00."""
    if shift.dE00 <= 0.5 * perceptible:
        return say("ends on the target")
    parts = (
        (shift.value, say_as("too", "dark") if shift.dL < 0 else say_as("too", "light")),
        (shift.chroma, say("strong in chroma") if shift.dC > 0 else say("weak in chroma")),
        (shift.hue, too_much_of(shift.h, shift.dH)),
    )
    size, fault = max(parts)
    if size < 1.5 * perceptible:
        return say("stays slightly too {fault}", fault=fault)
    return (
        say("stays too {fault}", fault=fault) if size < 4.0 * perceptible else say("stays far too {fault}", fault=fault)
    )


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
        return say("it is in tolerance as it is, surely enough")
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
        return say("{no_liquid}; no surface stain may follow", no_liquid=NO_LIQUID)
    return say(
        "{no_liquid}; surface stain on the sintered piece has {chance}", no_liquid=NO_LIQUID, chance=chance(later)
    )


def no_firing(stage: str | None) -> str:
    """The reason why nothing is fired at a stage.

    >>> no_firing("trial"), no_firing("bonded")
    ('a provisional is never fired', 'a bonded piece is not fired')
    """
    if stage == "trial":
        return say("a provisional is never fired")
    return say("a {stage} piece is not fired", stage=_STAGES.get(stage or "", stage))


_STAGES = {"bonded": say_as("a … piece", "bonded"), "delivered": say_as("a … piece", "delivered")}


def _would_help(told: ZoneNote) -> str:
    helps = [say("a stain that this material and stage bear: none is on the list")] if told.no_stain else []
    helps += [say("stripping and restaining")] if told.strip else []
    helps += (
        [say("a reading of the bare piece, to see what stripping and restaining would give")] if told.read_bare else []
    )
    helps += [_wants(told.lacks)] if told.lacks is not None else []
    if told.unseen:
        helps.append(say("stripes of {stains}, whose strength is a guess so far", stains=some_of(told.unseen)))
    return say("it would take {helps}", helps=reduce(_or_else, helps) if helps else "")


def _or_else(one: str, other: str) -> str:
    return say("{one}, or {other}", one=one, other=other)


def _wants(lacks: ColourShift) -> str:
    """The blank that the target asks for, from the way that the best move ends."""
    if lacks.value >= lacks.chroma:
        return say("another blank, a lighter one") if lacks.dL < 0 else say("another blank, a darker one")
    if lacks.dC < 0:
        return say("another blank, one with more chroma")
    return say("another blank, one with less chroma")


def _doubts(reason: Reason) -> list[str]:
    told = []
    if reason.face_unknown:
        told.append(
            say("the doubt is wide, for no clear-glaze stripe of this material shows what the glaze does to it")
        )
    if reason.film:
        told.append(
            say(
                "read under a film of water or glycerine, which the Readings page and a file's column film take, its "
                "matt face would halve the doubt; clean and dry it before painting"
            )
        )
    if reason.unseen:
        told.append(
            say_n(
                "the doubt is wide, for no stripe shows how strong {stains} fires",
                "the doubt is wide, for no stripe shows how strong {stains} fire",
                len(reason.unseen),
                stains=listed(reason.unseen),
            )
        )
    return told
