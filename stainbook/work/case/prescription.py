"""What is prescribed by tooth group: one target for front teeth, canines, back teeth and gum; single zones may differ.

The case holds a target a zone. A zone inherits its group's target as long as it has the one that most of it have.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from stainbook.book import Book
from stainbook.errors import InputError
from stainbook.language import say
from stainbook.records import Case, CaseZone, Target
from stainbook.words.places import place
from stainbook.work.case.case_edits import Aim, said_target, target_of
from stainbook.work.reading.viewing_conditions import Asked

Key = tuple[int, str]

GROUPS = ("front", "canine", "back", "gum")
CANINE = 3  # the tooth's place from the midline
STEP = 1.5  # L* or C* of one step: to be seen, and less than a guide's tabs are apart; common practice


@dataclass(frozen=True, slots=True)
class GroupWish:
    """The zones of a group, the target that most of them have, as it is typed, and those that differ from it."""

    group: str
    zones: int
    said: str
    differ: tuple[Key, ...]


def group_of(tooth: int, tissue: str) -> str:
    """The group that a zone belongs to.

    >>> group_of(11, "tooth"), group_of(53, "tooth"), group_of(26, "tooth"), group_of(11, "gingiva")
    ('front', 'canine', 'back', 'gum')
    """
    if tissue != "tooth":
        return "gum"
    place_in_row = tooth % 10
    return "canine" if place_in_row == CANINE else "front" if place_in_row < CANINE else "back"


def groups_of(case: Case) -> tuple[GroupWish, ...]:
    """The groups of a case with what is prescribed of each."""
    found = []
    for group in GROUPS:
        zones = _zones_of(case, group)
        if zones:
            common = _common(zones)
            differ = tuple(zone.key for zone in zones if zone.target != common)
            found.append(GroupWish(group, len(zones), said_target(common), differ))
    return tuple(found)


def prescribed(case: Case, wanted: Mapping[str, str], book: Book, asked: Asked) -> Case:
    """The case with other targets of its groups; zones that differed from theirs stay as they are.

    wanted : by group a tab as ``guide/tab``, or L*, a*, b* as typed; empty: as it is

    Raises InputError for what is no colour, UnknownNameError for a tab that the book does not know.
    """
    targets: dict[Key, Target | None] = {}
    for group, typed in wanted.items():
        zones = _zones_of(case, group)
        common = _common(zones)
        if not typed.strip() or typed.strip() == said_target(common):
            continue
        aim = Aim("tab" if "/" in typed else "lab", typed.strip())
        for zone in zones:
            if zone.target in (None, common):
                targets[zone.key] = target_of(zone, case, aim, (), book, asked)
    if not targets:
        raise InputError(say("found no other target, expected one of a tooth group: a tab, or L*, a*, b*"))
    return _with_targets(case, targets)


def stepped(case: Case, keys: Collection[Key], *, value: int = 0, chroma: int = 0) -> Case:
    """The case with the targets of some zones so many steps lighter and stronger, each from its own.

    Raises InputError for a zone without a target.
    """
    targets: dict[Key, Target | None] = {}
    for zone in case.zones:
        if zone.key not in keys:
            continue
        if zone.target is None:
            raise InputError(say("{zone} has no target yet, expected one to step from", zone=place(*zone.key)))
        shift = dict(zone.target.shift)
        for axis, steps in (("L", value), ("C", chroma)):
            shift[axis] = shift.get(axis, 0.0) + STEP * steps
        targets[zone.key] = replace(zone.target, shift=tuple((axis, by) for axis, by in shift.items() if by))
    if not targets:
        raise InputError(say("found no zone, expected one or more: choose them on the arch"))
    return _with_targets(case, targets)


def as_the_group(case: Case, keys: Collection[Key]) -> Case:
    """The case with some zones at the target that most of their group have."""
    common = {group: _common(_zones_of(case, group)) for group in GROUPS}
    targets = {zone.key: common[group_of(zone.tooth, zone.tissue)] for zone in case.zones if zone.key in keys}
    return _with_targets(case, targets)


def _with_targets(case: Case, targets: Mapping[Key, Target | None]) -> Case:
    zones = (replace(zone, target=targets[zone.key]) if zone.key in targets else zone for zone in case.zones)
    return replace(case, zones=tuple(zones))


def _zones_of(case: Case, group: str) -> list[CaseZone]:
    return [zone for zone in case.zones if group_of(zone.tooth, zone.tissue) == group]


def _common(zones: Collection[CaseZone]) -> Target | None:
    """The target that most zones have that have one; None where none has."""
    counted = Counter(zone.target for zone in zones if zone.target is not None)
    return counted.most_common(1)[0][0] if counted else None
