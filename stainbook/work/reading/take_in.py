"""Readings from a file, or typed and pasted, into the book; named by their rows or by the order of a sheet."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from stainbook.book import Book
from stainbook.book.events import Event
from stainbook.book.fold import fold
from stainbook.book.possible import refusal
from stainbook.errors import InputError, some_of
from stainbook.files import ReadingSet, read_pasted, read_readings
from stainbook.language import say
from stainbook.records import STAGES, Reading
from stainbook.work.documents.day_schemas import ReadResult
from stainbook.work.reading.cautions import cautions
from stainbook.work.reading.viewing_conditions import Asked, viewing_of


def take_in(
    book: Book,
    source: Path | str,
    asked: Asked | None = None,
    *,
    order: Sequence[str] = (),
    stage: str | None = None,
    ask: Callable[[Sequence[Reading]], list[str]] | None = None,
) -> ReadResult:
    """Store readings; ``source`` is a file's path, or the pasted text itself.

    order : samples' names; row n is the n-th
    stage : of rows that name none
    ask : gives questions about the readings, by what the book held before them

    Raises InputError for readings that cannot be used; then nothing is stored.
    """
    defaults = (asked or Asked()).defaults
    if isinstance(source, Path):
        found = read_readings(source, defaults=defaults, order=order)
    else:
        found = read_pasted(source, defaults=defaults, order=order)
    word = stage.lower() if stage and stage.lower() in STAGES else stage
    readings = [replace(reading, stage=reading.stage or word) for reading in found.all]
    warnings = [*found.warnings, *_unknown(found), *cautions(readings)]  # refuses lights that are not known
    check_pieces(book, readings)
    warnings += ask(readings) if ask is not None else []
    stored = book.add_readings(readings)
    return ReadResult(stored=stored, samples=list(found.samples), warnings=warnings)


OF_A_ZONE = re.compile(r"(.+)-(\d\d)-[^-]+")  # how the samples of a case's zones are called


def check_pieces(book: Book, readings: Sequence[Reading]) -> None:
    """Raises InputError for a reading of a piece that shows no colour yet: unsintered, with liquids or without."""
    known = set(book.names("case"))
    codes = dict.fromkeys(named[1] for one in readings if (named := OF_A_ZONE.fullmatch(one.sample)))
    for code in codes:
        if code in known:
            why = refusal(fold(book.events(code)), Event("read", "", None))
            if why is not None:
                raise InputError(say("{why}; its colour is seen after sintering, nothing was stored", why=why))


def _unknown(found: ReadingSet) -> list[str]:
    bare = [one for one in found.all if (own := viewing_of(one)) is not None and not own.known]
    if not bare:
        return []
    return [
        say(
            "{samples} on this instrument's own scale: light or observer is not stated; set the instrument up once "
            "with `stainbook instrument NAME --illuminant D65 --observer 2` and name it here",
            samples=some_of((repr(one.sample) for one in bare), most=1),
        )
    ]
