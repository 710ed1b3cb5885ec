"""What layers do to value, chroma and hue: ``takes value down a little and adds chroma``.

The verb goes by the number of coats, so each sentence stands here in both forms.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stainbook.language import listed, say, say_as
from stainbook.words.hues import hue_towards

if TYPE_CHECKING:  # data alone: nothing of the engine is loaded for its words
    from stainbook.match.reasons import ColourShift

_UNSEEN, _TOUCH, _LITTLE, _PLAIN = 0.25, 0.8, 2.5, 6.0  # ΔE00 of one part of a shift, up to which it is said so


def effect(shift: ColourShift, *, many: bool) -> str:
    """What layers do to value, chroma and hue; ``many`` picks the verb for several coats."""
    told = []
    if shift.value >= _UNSEEN:
        told.append(_darker(shift.value, many) if shift.dL < 0 else _lighter(shift.value, many))
    if shift.chroma >= _UNSEEN:
        told.append(_stronger(shift.chroma, many) if shift.dC > 0 else _weaker(shift.chroma, many))
    if shift.hue >= _UNSEEN:
        told.append(_turned(shift.hue, hue_towards(shift.h, shift.dH), many))
    if told:
        return listed(told)
    return say("hardly change the colour") if many else say("hardly changes the colour")


def _amount(size: float) -> str:
    """How much; nothing in the middle, where no word is needed."""
    if size < _TOUCH:
        return say_as("how much a colour changes", "a touch")
    if size < _LITTLE:
        return say_as("how much a colour changes", "a little")
    return "" if size < _PLAIN else say_as("how much a colour changes", "a lot")


def _darker(size: float, many: bool) -> str:
    amount = _amount(size)
    if amount:
        return (
            say("take value down {amount}", amount=amount) if many else say("takes value down {amount}", amount=amount)
        )
    return say("take value down") if many else say("takes value down")


def _lighter(size: float, many: bool) -> str:
    amount = _amount(size)
    if amount:
        return say("lift value {amount}", amount=amount) if many else say("lifts value {amount}", amount=amount)
    return say("lift value") if many else say("lifts value")


def _weaker(size: float, many: bool) -> str:
    amount = _amount(size)
    if amount:
        return (
            say("take chroma down {amount}", amount=amount)
            if many
            else say("takes chroma down {amount}", amount=amount)
        )
    return say("take chroma down") if many else say("takes chroma down")


def _stronger(size: float, many: bool) -> str:
    if size < _TOUCH:
        return say("add a touch of chroma") if many else say("adds a touch of chroma")
    if size < _LITTLE:
        return say("add a little chroma") if many else say("adds a little chroma")
    if size < _PLAIN:
        return say("add chroma") if many else say("adds chroma")
    return say("add a lot of chroma") if many else say("adds a lot of chroma")


def _turned(size: float, hue: str, many: bool) -> str:
    amount = _amount(size)
    if amount and many:
        return say("turn hue {amount} towards {hue}", amount=amount, hue=hue)
    if amount:
        return say("turns hue {amount} towards {hue}", amount=amount, hue=hue)
    return say("turn hue towards {hue}", hue=hue) if many else say("turns hue towards {hue}", hue=hue)
