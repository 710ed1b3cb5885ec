"""The standard short set: eight readings for a full arch; the other zones follow the nearest that is read."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from stainbook.records import CaseZone

READINGS = 8  # an arch
# Place in the arch, counted from the midline, and zone: what carries most of a face first, as common practice has it.
_FIRST = (
    ((1, 2), ("cervical",)),
    ((1, 2), ("middle",)),
    ((1, 2), ("incisal",)),
    ((3,), ("cervical",)),
    ((3,), ("middle",)),
    ((6, 7, 5, 4), ("middle", "occlusal")),
    ((1, 2, 3), ("attached", "margin")),
    ((1, 2, 3), ("papilla", "mucosa")),
)
_THEN = (
    ((4, 5), ("middle",)),
    ((6, 7, 8, 5), ("occlusal",)),
    ((6, 7, 5, 4), ("cervical",)),
    ((1, 3, 6), ("mucosa", "margin")),
)
_CLASSES = {1: 0, 2: 0, 3: 1, 4: 2, 5: 2, 6: 3, 7: 3, 8: 3}  # incisors, canine, premolars, molars
# How many times further from the zone that was read than two zones alike; common practice, nobody's measurement.
SAME_CLASS, OTHER_CLASS, OTHER_ZONE = 1.5, 2.0, 3.0


def like_the_short_set(zones: Sequence[CaseZone]) -> tuple[CaseZone, ...]:
    """Give zones with ``like`` where neither a reading nor the short set of their arch holds them.

    A zone that has a reading or is like another already stays as it is. One that no zone of its tissue is read
    for stays to be read.

    >>> zones = [CaseZone(tooth, "middle", "tooth") for tooth in (11, 21)]
    >>> [(zone.tooth, zone.like) for zone in like_the_short_set(zones)]
    [(11, None), (21, (11, 'middle'))]
    """
    read = {zone.key for zone in zones if zone.now is not None}
    for arch in (True, False):
        inside = [zone for zone in zones if _is_upper(zone) is arch and zone.like is None]
        read |= {zone.key for zone in short_set(inside)}
    by_key = {zone.key: zone for zone in zones if zone.key in read}
    return tuple(_followed(zone, by_key.values()) for zone in zones)


def like_the_larger(zones: Sequence[CaseZone], too_small: Collection[str]) -> tuple[CaseZone, ...]:
    """Give zones with ``like`` where an instrument's aperture is wider than they are, and a larger one may be followed.

    too_small : names of zones

    >>> zones = [CaseZone(11, "attached", "gingiva"), CaseZone(11, "margin", "gingiva")]
    >>> [zone.like for zone in like_the_larger(zones, {"margin"})]
    [None, (11, 'attached')]
    """
    larger = [zone for zone in zones if zone.zone not in too_small]
    return tuple(_followed(zone, larger) if zone.zone in too_small else zone for zone in zones)


def short_set(zones: Sequence[CaseZone]) -> tuple[CaseZone, ...]:
    """The zones of one arch to read, at most eight, those that a reading is named for included."""
    chosen = [zone for zone in zones if zone.now is not None]
    for places, names in (*_FIRST, *_THEN):
        if len(chosen) >= READINGS:
            break
        if any(zone.tooth % 10 in places and zone.zone in names for zone in chosen):
            continue
        found = [zone for zone in zones if zone.tooth % 10 in places and zone.zone in names]
        chosen += sorted(found, key=lambda zone: (names.index(zone.zone), places.index(zone.tooth % 10), zone.tooth))[
            :1
        ]
    return tuple(chosen)


def _is_upper(zone: CaseZone) -> bool:
    return zone.tooth // 10 in (1, 2, 5, 6)


def _followed(zone: CaseZone, read: Iterable[CaseZone]) -> CaseZone:
    """The zone, like the nearest of its tissue that is read."""
    others = [one for one in read if one.tissue == zone.tissue and one.key != zone.key and _may_follow(zone, one)]
    if zone.like is not None or zone.now is not None or zone.key in {one.key for one in read} or not others:
        return zone
    nearest = min(
        others,
        key=lambda one: (
            _spread(zone, one), _place(one.zone), _is_upper(one) != _is_upper(zone), _distance(zone, one)
        ),
    )  # fmt: skip
    return replace(zone, like=nearest.key, like_spread=_spread(zone, nearest))


def _may_follow(zone: CaseZone, read: CaseZone) -> bool:
    """A biting face has nothing of a neck, and a neck nothing of it."""
    return {zone.zone, read.zone} not in ({"occlusal", "cervical"}, {"incisal", "cervical"})


def _place(zone: str) -> int:
    """Of zones of another name the middle third goes first, an edge last."""
    return {"middle": 0, "incisal": 2}.get(zone, 1)


def _spread(zone: CaseZone, read: CaseZone) -> float:
    if zone.zone != read.zone:
        return OTHER_ZONE
    if zone.tooth % 10 == read.tooth % 10 and _is_upper(zone) == _is_upper(read):
        return 1.0
    same = _CLASSES.get(zone.tooth % 10) == _CLASSES.get(read.tooth % 10)
    return SAME_CLASS if same else OTHER_CLASS


def _distance(zone: CaseZone, read: CaseZone) -> int:
    return abs(zone.tooth % 10 - read.tooth % 10)
