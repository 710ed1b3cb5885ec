"""What a firing gave, zone by zone, as a form tells it: readings and outcomes into the book, and what was learnt."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from stainbook.book import open_book
from stainbook.errors import InputError
from stainbook.kept import FiredZone, Firing, Report
from stainbook.records import CLEAR, Case, CaseZone, Reading, SampleRef, Stain
from stainbook.work.book_schemas import RecordResult
from stainbook.work.conditions import Asked
from stainbook.work.follow import follow_book
from stainbook.work.instruments import Profiles
from stainbook.work.painted import painted_layers
from stainbook.work.record import record_reports
from stainbook.work.sheet import sample_of
from stainbook.work.typed_colour import typed_colour

SOURCE = "the result page"


@dataclass(frozen=True, slots=True)
class ZoneResult:
    """What was painted on one zone and what was read after, as typed."""

    tooth: int
    zone: str
    painted: str
    lab: tuple[str, str, str]


@dataclass(frozen=True, slots=True)
class FiringResult:
    """One firing of a case as the form tells it."""

    zones: Sequence[ZoneResult]
    operator: str | None = None
    programme: str | None = None
    finish: str | None = None
    accepted_by: str | None = None
    illuminant: str | None = None
    observer: int | None = None
    instrument: str | None = None
    new_stains: Sequence[str] = ()  # to be entered into the lab's list


def unknown_stains(url: str | None, zones: Sequence[ZoneResult]) -> list[str]:
    """Stains that were painted and that the lab does not list; raises InputError for mixes that cannot be read."""
    used = {name for one in zones for layer in painted_layers(one.painted) for name in layer.pot.stains}
    with open_book(url) as book:
        chipped = {name for chip in book.chips() for layer in chip.layers for name in layer.pot.stains}
        return sorted(used - book.stains().keys() - chipped - {CLEAR})


def record_result(url: str | None, path: Path, told: FiringResult) -> RecordResult:
    """Store a firing and its readings, and learn from it.

    Raises InputError for mixes and readings that cannot be used; then no firing is stored.
    """
    now = datetime.now(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")
    asked = Asked(told.illuminant, told.observer, instrument=told.instrument, instruments=Profiles(url))
    layers = {(one.tooth, one.zone): painted_layers(one.painted) for one in told.zones}
    if not any(layers.values()):
        raise InputError("found nothing painted, expected the mix and coats of one zone or more")
    with open_book(url) as book:
        case = follow_book(book, path)
        places = {zone.key: zone for zone in case.zones}
        after = _after(told, places, case, asked, now)
        book.add_stains(Stain(name) for name in told.new_stains)
        zones = tuple(
            FiredZone(*key, places[key].tissue, stack, SampleRef(after[key].sample), source=f"{key[0]} {key[1]}")
            for key, stack in layers.items()
            if stack
        )
        firing = Firing(case.case, now, told.operator, told.programme, finish=told.finish, accepted_by=told.accepted_by)
        book.add_readings(after.values())
        result = record_reports(book, [Report(firing, zones, source=SOURCE)], asked)
        follow_book(book, path, fired=frozenset(zone.key for zone in zones))
    return result


def _after(
    told: FiringResult, places: Mapping[tuple[int, str], CaseZone], case: Case, asked: Asked, now: str
) -> dict[tuple[int, str], Reading]:
    """The readings after the firing, by zone, taken now."""
    after = {}
    for one in told.zones:
        zone = places[one.tooth, one.zone]
        found = typed_colour("\t".join(one.lab), asked, f"{one.tooth} {one.zone}, after the firing")
        after[zone.key] = replace(found, sample=sample_of(zone, case), taken_at=now, tissue=zone.tissue, source="")
    return after
