"""The lab's own shade guide and its readings into the book, and what it holds."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from stainbook.book import Book
from stainbook.errors import InputError, some_of
from stainbook.files import read_guide, read_readings
from stainbook.language import say
from stainbook.records import GuideTab, Reading
from stainbook.work.documents.day_schemas import GuideResult, GuideZone
from stainbook.work.reading.samples import colour_of
from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER, Asked, viewing_of


def load_guide(book: Book, guide: Path, readings: Path | None, asked: Asked | None = None) -> GuideResult:
    """Store a guide and, of its readings, those that are its tabs'.

    Raises InputError for files that cannot be used, and readings none of which is a tab's; then nothing is stored.
    """
    asked = asked or Asked()
    tabs = read_guide(guide)
    found = read_readings(readings, defaults=asked.defaults) if readings else None
    names = {tab.sample for tab in tabs.records}
    own = [reading for reading in found.all if reading.sample in names] if found else []
    if found and not own:
        raise InputError(
            say(
                "{readings}: none of its {n} samples is a tab of {guide}, expected samples named "
                "guide/tab/zone, such as {sample}",
                readings=readings,
                n=len(found.samples),
                guide=guide,
                sample=tabs.records[0].sample,
            )
        )
    for reading in own:
        viewing_of(reading)  # refuses a light that is not known, before anything is stored
    with book.transaction() as step:
        step.add_guide(tabs.records)
        step.add_readings(own)
    warnings = [*tabs.warnings, *(found.warnings if found else ())]
    return shown(book, asked, warnings=warnings)


def shown(book: Book, asked: Asked | None = None, *, warnings: Sequence[str] = ()) -> GuideResult:
    """All tabs of the book's guides with their colours; a tab that was not read has none."""
    zones = [_zone(tab, book.find_reading(tab.sample), asked or Asked()) for tab in book.guide()]
    unread = [f"{zone.guide}/{zone.tab}/{zone.zone}" for zone in zones if zone.L is None]
    told = [say("no reading yet of {tabs}", tabs=some_of(unread, most=1))] if unread else []
    return GuideResult(zones=zones, warnings=[*warnings, *told])


def _zone(tab: GuideTab, reading: Reading | None, asked: Asked) -> GuideZone:
    bare = GuideZone(guide=tab.guide, tab=tab.tab, zone=tab.zone, tissue=tab.tissue)
    if reading is None:
        return bare
    own = viewing_of(reading)
    colour = colour_of(reading, own or asked.viewing or SPECTRA_SEEN_UNDER)
    L, a, b = (float(value) for value in colour.lab)
    light = {"illuminant": colour.viewing.illuminant, "observer": colour.viewing.observer or None}
    return bare.model_copy(update={"L": L, "a": a, "b": b, "u": colour.u, **light})
