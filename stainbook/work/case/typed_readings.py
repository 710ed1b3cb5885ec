"""Readings that are typed, pasted or dropped for a case: recognised, given to its zones, looked at, then stored."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import PurePath

from stainbook.book import Book
from stainbook.book.events import Event
from stainbook.book.possible import refusal
from stainbook.errors import FileError, InputError
from stainbook.files import NamedFile, ReadingSet, read_pasted, read_readings
from stainbook.language import say
from stainbook.records import Reading
from stainbook.work.case.advise import colour_shown
from stainbook.work.case.current_case import What, is_file
from stainbook.work.case.measuring_sheet import sheet_for
from stainbook.work.case.open_case import brought_in, now
from stainbook.work.case.swap_check import asked_of_case
from stainbook.work.documents.schemas import ColourResult
from stainbook.work.reading.cautions import cautions
from stainbook.work.reading.samples import colour_of
from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER, Asked, viewing_of

BY_NAME, BY_ORDER, BY_HAND = "name", "order", "hand"
_COUNTED = re.compile(r"(\d+) rows")  # as a refusal for another number of rows names it


@dataclass(frozen=True, slots=True)
class Given:
    """Text that was typed or pasted, or a file that was dropped, and what its L*a*b* hold under."""

    text: str = ""
    name: str = ""
    data: bytes = b""
    illuminant: str | None = None
    observer: int | None = None
    instrument: str | None = None
    order: tuple[str, ...] = ()  # samples in the order in which they were read; () is that of the sheet
    film: str | None = None  # over the face, of readings that do not say it themselves
    hand: tuple[str, ...] = ()  # the sample of each row as it was given by hand, "" for one that is left out


@dataclass(frozen=True, slots=True)
class ReadingPlace:
    """One row of the order: which sample is read there."""

    sample: str
    tooth: int | None
    zone: str | None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Assigned:
    """One reading with the zone that it was given to."""

    place: ReadingPlace
    colour: ColourResult
    repeats: int


@dataclass(frozen=True, slots=True)
class RowRead:
    """One row of what was typed or dropped: its own name, empty where it has none, and its colour."""

    name: str
    colour: ColourResult


@dataclass(frozen=True, slots=True)
class Preview:
    """What was recognised, by name, order or hand; ``left_out`` are samples of the file that the case does not name."""

    rows: tuple[Assigned, ...]
    by: str
    left_out: tuple[str, ...] = ()
    missing: tuple[ReadingPlace, ...] = ()
    warnings: tuple[str, ...] = ()


def order_of(book: Book, what: What) -> tuple[ReadingPlace, ...]:
    """The readings to take of a case, in order; raises InputError for a case that cannot be used."""
    rows = sheet_for(book, what).rows
    return tuple(ReadingPlace(row.sample, row.tooth, row.zone, row.note) for row in rows)


def rows_read(book: Book, given: Given) -> tuple[RowRead, ...]:
    """What was recognised row by row, to be given to zones by hand; raises InputError for what is no reading."""
    found, named = _row_by_row(given, _asked(book, given))
    return tuple(RowRead(one.sample if named else "", _colour(one)) for one in found.all)


def preview(book: Book, what: What, given: Given) -> Preview:
    """What would be stored; raises InputError for readings that cannot be used."""
    places = order_of(book, what)
    found, by = _recognised(book, places, given)
    known = {place.sample: place for place in places}
    rows = tuple(Assigned(known[one.sample], _colour(one), one.repeats) for one in found.all if one.sample in known)
    read = {row.place.sample for row in rows}
    own = [one for one in found.all if one.sample in known]
    return Preview(
        rows=rows,
        by=by,
        left_out=tuple(name for name in found.samples if name not in known),
        missing=tuple(place for sample, place in known.items() if sample not in read),
        warnings=(*found.warnings, *cautions(own), *_questions(book, what, own)),
    )


def _questions(book: Book, what: What, readings: Sequence[Reading]) -> list[str]:
    """Whether readings stand under another zone's name; of a case that the book does not know nothing is expected."""
    code = str(what)
    if is_file(what) or code not in book.names("case"):
        return []
    return asked_of_case(book, code, {one.sample: one for one in readings})


def store(book: Book, what: What, given: Given) -> int:
    """Store the readings of the case and give how many; raises InputError as `preview` does, then nothing is stored."""
    places = order_of(book, what)
    found, _ = _recognised(book, places, given)
    names = {place.sample for place in places}
    at = now()
    taken = [
        replace(one, taken_at=one.taken_at or at, film=one.film or given.film)
        for one in found.all
        if one.sample in names
    ]
    current = brought_in(book, what)
    for one in taken:
        why = refusal(current.state, Event("read", at, one))
        if why is not None:
            raise InputError(say("{why}; nothing was stored", why=why))
    return book.add_readings(taken)


def _recognised(book: Book, places: Sequence[ReadingPlace], given: Given) -> tuple[ReadingSet, str]:
    """The readings, named as the case names its samples: by their own names where these are known, else by order."""
    order = given.order or tuple(place.sample for place in places)
    asked = _asked(book, given)
    if given.hand:
        return _by_hand(given, asked), BY_HAND
    try:
        named = _read(given, asked, ())
    except FileError as unnamed:
        try:
            return _read(given, asked, order), BY_ORDER
        except FileError as uncounted:
            raise (unnamed if unnamed.where else uncounted) from None  # what is wrong in a row is told first
    if set(named.samples) & set(order):
        return named, BY_NAME
    return _read(given, asked, order), BY_ORDER


def _asked(book: Book, given: Given) -> Asked:
    return Asked(given.illuminant, given.observer, instrument=given.instrument, instruments=book.instruments())


def _row_by_row(given: Given, asked: Asked) -> tuple[ReadingSet, bool]:
    """The readings by their own names, else by the numbers of their rows; and whether the names are their own."""
    try:
        return _read(given, asked, ()), True
    except FileError as unnamed:
        try:
            return _read(given, asked, ("1",)), False
        except FileError as uncounted:
            count = _COUNTED.fullmatch(uncounted.found)
            if count is None:
                raise unnamed from None
            return _read(given, asked, tuple(map(str, range(1, int(count[1]) + 1)))), False


def _by_hand(given: Given, asked: Asked) -> ReadingSet:
    found, _ = _row_by_row(given, asked)
    if len(found.all) != len(given.hand):
        raise InputError(
            say(
                "found {rows} rows and {zones} zones chosen; choose them again",
                rows=len(found.all),
                zones=len(given.hand),
            )
        )
    twice = sorted({one for one in given.hand if one and given.hand.count(one) > 1})
    if twice:
        raise InputError(say("two rows were given to {zone}, expected one for each zone", zone=twice[0]))
    named = [replace(one, sample=sample) for one, sample in zip(found.all, given.hand, strict=True) if sample]
    return replace(found, all=tuple(named))


def _read(given: Given, asked: Asked, order: Sequence[str]) -> ReadingSet:
    if not given.data:
        return read_pasted(given.text, defaults=asked.defaults, order=order)
    name = PurePath(given.name).name or "readings"
    return read_readings(NamedFile(name, given.data), defaults=asked.defaults, order=order)


def _colour(reading: Reading) -> ColourResult:
    viewing = viewing_of(reading) or SPECTRA_SEEN_UNDER
    return colour_shown(colour_of(reading, viewing).lab, viewing)
