"""Targets from a trial piece: the day it left the lab, what wear made of it, and which of them was approved."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import UTC, datetime

from stainbook.book import Book
from stainbook.colour import ThresholdSet
from stainbook.errors import InputError
from stainbook.files.values import instant
from stainbook.language import say
from stainbook.records import TEETH, GuideTab, Reading, tissue_of
from stainbook.work.documents.day_schemas import TrialResult, TrialZone
from stainbook.work.reading.compare import graded
from stainbook.work.reading.lab_settings import limits_in
from stainbook.work.reading.samples import colour_of, tissue
from stainbook.work.reading.viewing_conditions import Asked, shared_viewing

GUIDE = "trial"  # the guide that approved trial pieces are tabs of, one a tooth
CHOICES = ("left", "worn")
_BEGINNING = datetime.min.replace(tzinfo=UTC)


def trial(book: Book, case: str, asked: Asked | None = None) -> TrialResult:
    """Each zone of a trial piece that was read: as it left the lab and as it is now, worn minus left.

    Raises InputError for a case without readings in the book.
    """
    asked = asked or Asked()
    limits = limits_in(book)
    zones = [_shown(readings, *place, asked, limits) for place, readings in _zones(book, case).items()]
    return TrialResult(case=case, zones=zones)


def approve(book: Book, case: str, choice: str, *, by: str, asked: Asked | None = None) -> TrialResult:
    """Make the chosen readings the targets: tabs ``CASE-TOOTH`` of the guide ``trial``.

    choice : ``left``, the first reading of each zone, or ``worn``, its newest. by : who approved it, by role or bench.

    Raises InputError for another choice, nobody named, and a case without readings.
    """
    if choice not in CHOICES or not by.strip():
        raise InputError(
            say("found {choice!r} approved by {by!r}, expected left or worn, and who approved it", choice=choice, by=by)
        )
    result = trial(book, case, asked)
    now = datetime.now(UTC).isoformat(timespec="seconds")
    tabs, targets = [], []
    for (tooth, zone), readings in _zones(book, case).items():
        reading = readings[0] if choice == "left" else readings[-1]
        tab = GuideTab(GUIDE, f"{case}-{tooth}", zone, tissue(reading) or tissue_of(zone) or "tooth")
        said = f"approved by {by.strip()}, {choice}: {reading.sample} of {reading.taken_at or 'no date'}"
        tabs.append(tab)
        targets.append(replace(reading, sample=tab.sample, tissue=tab.tissue, taken_at=now, notes=said))
    with book.transaction() as step:
        step.add_guide(tabs)
        step.add_readings(targets)
    return result.model_copy(update={"approved": choice, "targets": [tab.sample for tab in tabs]})


def _zones(book: Book, case: str) -> dict[tuple[int, str], list[Reading]]:
    """The readings of each zone of a case, oldest first; those without a date first of all."""
    found: dict[tuple[int, str], list[Reading]] = {}
    for reading in book.readings():
        place = _place(reading.sample, case)
        if place:
            found.setdefault(place, []).append(reading)
    if not found:
        raise InputError(
            say("the book holds no reading of case {case!r}, expected samples as {case}-11-cervical", case=case)
        )
    return {place: _by_time(readings) for place, readings in sorted(found.items())}


def _place(sample: str, case: str) -> tuple[int, str] | None:
    tooth, _, zone = sample.removeprefix(f"{case}-").partition("-")
    known = sample.startswith(f"{case}-") and tooth.isascii() and tooth.isdecimal() and int(tooth) in TEETH
    return (int(tooth), zone) if known and zone else None


def _by_time(readings: Iterable[Reading]) -> list[Reading]:
    return sorted(readings, key=lambda reading: instant(reading.taken_at or "") or _BEGINNING)


def _shown(
    readings: list[Reading], tooth: int, zone: str, asked: Asked, limits: Mapping[str, ThresholdSet]
) -> TrialZone:
    left, worn = readings[0], readings[-1]
    bare = TrialZone(tooth=tooth, zone=zone, readings=len(readings), left=left.taken_at, worn=worn.taken_at)
    if len(readings) == 1:
        return bare
    viewing = shared_viewing(worn, left, asked)
    colours = [colour_of(one, viewing, adapt=asked.adapt) for one in (worn, left)]
    pair = graded(colours[0], colours[1], limits[tissue(left) or tissue_of(zone) or "tooth"])
    change = {"dE00": pair.dE00, "dL": pair.dL, "dC": pair.dC, "dH": pair.dH, "u": pair.u, "grade": pair.grade}
    return bare.model_copy(update=change)
