"""Which zones of a piece are painted alike: mirror twins, gum of one kind; and which lie side by side.

A piece looks like one when left and right agree, when gum of one kind has one base mix, and when what
is still missing does not jump from a zone to the next.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from stainbook.colour import delta_e_2000
from stainbook.match.frame import TargetFrame
from stainbook.match.problem import ZoneProblem, equal_zones
from stainbook.records import TOOTH_ZONES

_MIRROR = {1: 2, 2: 1, 3: 4, 4: 3, 5: 6, 6: 5, 7: 8, 8: 7}
_EDGES = ("incisal", "occlusal")  # either lies beside the middle third


@dataclass(frozen=True, slots=True)
class OnePiece:
    """Zones by their places.

    ``twins`` take the same layers, each zone in one group; ``kinds`` are groups of ``twins`` by their places in it
    that share the order of their mixes; ``neighbours`` are pairs of zones side by side.
    """

    twins: tuple[tuple[int, ...], ...]
    kinds: tuple[tuple[int, ...], ...]
    neighbours: tuple[tuple[int, int], ...]

    @classmethod
    def of(cls, problems: Sequence[ZoneProblem], frames: Sequence[TargetFrame]) -> OnePiece:
        """The groups of a case's zones; ``frames`` are those of their targets."""
        twins = tuple(_twins(problems, frames))
        return cls(twins, tuple(_kinds(problems, twins)), tuple(_neighbours(problems)))


def mirror_of(tooth: int) -> int:
    """The tooth across the midline."""
    quadrant, position = divmod(tooth, 10)
    return 10 * _MIRROR.get(quadrant, quadrant) + position


def _twins(problems: Sequence[ZoneProblem], frames: Sequence[TargetFrame]) -> Iterator[tuple[int, ...]]:
    group = list(range(len(problems)))  # by place, the first of its group

    def join(places: Sequence[int]) -> None:
        firsts = {group[i] for i in places}
        for i, first in enumerate(group):
            if first in firsts:
                group[i] = min(firsts)

    for places in equal_zones(problems):
        join(places)
    by_key = {(one.piece, *one.key): i for i, one in enumerate(problems)}
    for i, one in enumerate(problems):
        j = by_key.get((one.piece, mirror_of(one.key[0]), one.key[1]))
        if j is not None and i < j and _alike(one, problems[j], frames[i], frames[j]):
            join((i, j))
    for first in dict.fromkeys(group):
        yield tuple(i for i, one in enumerate(group) if one == first)


def _alike(one: ZoneProblem, other: ZoneProblem, frame: TargetFrame, beside: TargetFrame) -> bool:
    """Whether no eye tells apart either their readings or their targets, and the same may be laid on both."""
    same = ("tissue", "viewing", "thresholds", "glazed", "firings_of")
    if any(getattr(one, name) != getattr(other, name) for name in same):
        return False
    if one.now.piece.surface != other.now.piece.surface or one.now.piece.ceramic != other.now.piece.ceramic:
        return False
    read = [view.lab(view.ln_xyz(zone.now.piece.reading)) for zone, view in ((one, frame), (other, beside))]
    limit = one.thresholds.perceptible
    return bool(delta_e_2000(*read) <= limit and delta_e_2000(frame.target, beside.target) <= limit)


def _kinds(problems: Sequence[ZoneProblem], twins: Sequence[tuple[int, ...]]) -> Iterator[tuple[int, ...]]:
    """Gum of one name is of one kind; of teeth each group of twins stands for itself."""
    found: dict[object, list[int]] = {}
    for place, zones in enumerate(twins):
        one = problems[zones[0]]
        found.setdefault((one.piece, one.key[1]) if one.tissue == "gingiva" else place, []).append(place)
    yield from map(tuple, found.values())


def _neighbours(problems: Sequence[ZoneProblem]) -> Iterator[tuple[int, int]]:
    """Thirds of one tooth side by side, and the same zone of two teeth side by side; none that is a hint."""
    by_key = {(one.piece, *one.key): i for i, one in enumerate(problems) if one.counts}
    for i, one in enumerate(problems):
        if not one.counts:
            continue
        tooth, zone = one.key
        beside = [(tooth, name) for name in _below(zone)]
        quadrant, position = divmod(tooth, 10)
        beside.append((10 * quadrant + position + 1, zone))
        if position == 1 and quadrant in (1, 4, 5, 8):
            beside.append((mirror_of(tooth), zone))
        for key in beside:
            if (one.piece, *key) in by_key:
                yield i, by_key[(one.piece, *key)]


def _below(zone: str) -> tuple[str, ...]:
    if zone == TOOTH_ZONES[0]:
        return (TOOTH_ZONES[1],)
    return _EDGES if zone == TOOTH_ZONES[1] else ()
