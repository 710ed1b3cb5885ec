"""What the clinic is told of a piece: what was reached in a sentence, and what to look at, wet and in daylight."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Protocol

from stainbook.language import joined, listed, say, say_n
from stainbook.words import light_names, states
from stainbook.words.grounds import eye_decides
from stainbook.words.places import by_zone, place
from stainbook.words.states import State

Key = tuple[int, str]
MATERIALS = {
    "blank": say("blank"),
    "liquid": say("liquid"),
    "stain": say("stain"),
    "glaze": say("glaze"),
}
NO_LOT = say("lot not noted")
BY_EYE = say(
    "Judge the whole piece wet and in daylight, beside the teeth. At edges and papillae the eye decides, the number is "
    "a hint."
)
_NEAR = (states.NO_DIFFERENCE, states.IN_TOLERANCE)
_EYE_DECIDES = frozenset({"incisal", "papilla"})


class AgainstTarget(Protocol):
    """A zone against its target, as reports hold it."""

    @property
    def key(self) -> Key:
        """Tooth and zone."""

    @property
    def state(self) -> State:
        """How it stands."""

    @property
    def by_hand(self) -> bool:
        """Whether it is layered by hand and not counted."""

    @property
    def counted(self) -> bool:
        """Whether its grade counts: neither layered by hand nor for the eye to decide."""

    @property
    def standing(self) -> str:
        """What its colour rests on."""

    @property
    def acceptable(self) -> float:
        """The most that is in tolerance, ΔE00."""

    @property
    def lights(self) -> Mapping[str, float | None]:
        """ΔE00 under further lights."""


def reached(zones: Sequence[AgainstTarget]) -> str:
    """What was reached of what was prescribed, in a sentence.

    >>> reached([])
    'No zone has both a reading and a target.'
    """
    counted = [one for one in zones if one.counted and one.state != states.NOT_READ]
    if not counted:
        return say("No zone has both a reading and a target.")
    near = [one for one in counted if one.state.known in _NEAR]
    told = [
        say_n(
            "{near} of {n} zone is in tolerance of what was prescribed",
            "{near} of {n} zones are in tolerance of what was prescribed",
            len(counted),
            near=len(near),
        )
    ]
    if len(near) == len(counted):
        told = [
            say_n(
                "The {n} zone is in tolerance of what was prescribed",
                "All {n} zones are in tolerance of what was prescribed",
                len(counted),
            )
        ]
    found = Counter(one.state.known for one in counted)
    told += [
        joined([str(found[state]), state.word], " ") for state in states.STATES if found[state] and state not in _NEAR
    ]
    expected = sum(one.state.expected for one in counted)
    if expected:
        told.append(say_n("{n} zone is expected, not read", "{n} zones are expected, not read", expected))
    return joined([joined(told, "; "), "."], "")


def look_at(zones: Sequence[AgainstTarget], effects: Sequence[str] = ()) -> list[str]:
    """What to check on the piece, wet and in daylight.

    Parameters
    ----------
    zones : against their targets
    effects : drawn by eye, in words

    >>> look_at([])
    []
    """
    doubtful = [one.key for one in zones if one.state.known == states.CANNOT_TELL]
    off = [one.key for one in zones if one.state.known in (states.OUT_OF_TOLERANCE, states.NOT_REACHED)]
    told = [say("Look first at what is out of tolerance: {zones}.", zones=by_zone(off))] if off else []
    if doubtful:
        told.append(say("The reading does not decide these: {zones}.", zones=by_zone(doubtful)))
    told += _other_lights(zones)
    unread = [one.key for one in zones if one.state == states.NOT_READ and not one.by_hand]
    if unread:
        told.append(say("Not judged by a reading: {zones}.", zones=by_zone(unread)))
    by_hand = [one.key for one in zones if one.by_hand]
    if by_hand:
        told.append(say("Layered by hand, by eye alone: {zones}.", zones=by_zone(by_hand)))
    if effects:
        told.append(say("Drawn by eye: {effects}.", effects=joined(effects, "; ")))
    by_eye = [one.key for one in zones if one.state.known == states.BY_EYE]
    if by_eye:
        told.append(eye_decides(by_eye))
    elif any(zone in _EYE_DECIDES for _, zone in (one.key for one in zones)):
        told.append(BY_EYE)
    return told


def _other_lights(zones: Sequence[AgainstTarget]) -> list[str]:
    """Zones that are in tolerance in their own light and not in another one."""
    found: dict[str, list[Key]] = {}
    for one in zones:
        if one.state.known in _NEAR:
            for light, apart in one.lights.items():
                if apart is not None and apart > one.acceptable:
                    found.setdefault(light, []).append(one.key)
    return [
        say("In {light} these are farther from it: {zones}.", light=light_names.light(light), zones=by_zone(keys))
        for light, keys in found.items()
    ]


def notes_told(noted: Sequence[tuple[Key, str]], like: Mapping[Key, str]) -> list[str]:
    """What is special about zones, a line for each kind of it.

    Parameters
    ----------
    noted : zones and what is said of each
    like : zones that stand as another one was read, which is named

    >>> notes_told([((11, "middle"), "as a photo shows it"), ((12, "middle"), "as a photo shows it")], {})
    ['middle 11 12: as a photo shows it.']
    >>> notes_told([], {(22, "cervical"): "12 cervical"})
    ['Not read itself: 22 cervical like 12 cervical.']
    """
    by_note: dict[str, list[Key]] = {}
    for key, note in noted:
        by_note.setdefault(note, []).append(key)
    told = [say("{zones}: {note}.", note=note, zones=by_zone(keys)) for note, keys in by_note.items()]
    if like:
        pairs = [say("{zone} like {other}", zone=place(*key), other=other) for key, other in like.items()]
        told.append(say("Not read itself: {zones}.", zones=joined(pairs)))
    return told


def material(kind: str, name: str, lot: str) -> str:
    """A blank, bottle, jar or glaze with its lot.

    >>> material("stain", "husk", "24-117"), material("blank", "weir", "")
    ('stain husk, lot 24-117', 'blank weir, lot not noted')
    """
    said = say("{kind} {name}", kind=MATERIALS[kind], name=name)
    return joined([said, say("lot {lot}", lot=lot) if lot else NO_LOT])


def prescribed(said: str, keys: Sequence[Key], every: int) -> str:
    """What was prescribed for some zones of a case of so many.

    >>> prescribed("house oat-mid", [(11, "middle"), (12, "middle")], 2)
    'house oat-mid'
    >>> prescribed("house oat-mid", [(11, "middle"), (12, "middle")], 9)
    'house oat-mid: teeth 11 and 12'
    """
    if len(keys) == every:
        return said
    teeth = list(dict.fromkeys(str(tooth) for tooth, _ in keys))
    if len(teeth) == 1:
        return say("{aim}: tooth {tooth}", aim=said, tooth=teeth[0])
    return say("{aim}: teeth {teeth}", aim=said, teeth=listed(teeth))
