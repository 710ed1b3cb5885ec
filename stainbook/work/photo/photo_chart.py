"""The lab's own chart: a table made of readings of its patches, so that a phone brings nothing but a picture."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

from stainbook.book import Book
from stainbook.errors import InputError, some_of
from stainbook.files import NamedFile, read_readings
from stainbook.files.cgats_writer import format_cgats
from stainbook.language import say
from stainbook.work.reading.dropped import Dropped

STEM = "chart-"  # samples chart-1, chart-2 …, row by row from the top left
FEWEST, MOST = 4, 200  # patches


class LabChart(NamedTuple):
    """The table of a chart that the lab has read, and how its patches are likely laid out."""

    table: Dropped
    rows: int
    columns: int


def lab_chart(book: Book) -> LabChart | None:
    """The chart of which the book holds readings chart-1, chart-2 … without a gap; None for too few."""
    found = book.readings_of(f"{STEM}{number}" for number in range(1, MOST + 1))
    patches = []
    for number in range(1, MOST + 1):
        if not (readings := found.get(f"{STEM}{number}")):
            break
        patches.append(book.newest_of(readings))
    kept = [one for one in patches if one is not None]
    if len(kept) < FEWEST:
        return None
    rows = max(n for n in range(1, int(len(kept) ** 0.5) + 1) if len(kept) % n == 0)
    return LabChart(Dropped(f"{STEM}table.txt", format_cgats(kept).encode()), rows, len(kept) // rows)


def keep_chart(book: Book, table: Dropped) -> int:
    """Store a table's readings as the lab's own chart, and how many there were; raises InputError for too few."""
    patches = read_readings(NamedFile(Path(table.name).name or "table", table.data)).all
    if not FEWEST <= len(patches) <= MOST:
        raise InputError(
            say(
                "{table}: found {n} patches, expected {least} to {most}",
                table=table.name,
                n=len(patches),
                least=FEWEST,
                most=MOST,
            )
        )
    unknown = [one for one in patches if not one.is_spectral and (one.viewing is None or not one.viewing.known)]
    if unknown:
        names = some_of(one.sample for one in unknown)
        raise InputError(
            say(
                "{table}: found {names} of unknown light, expected spectra or known light",
                table=table.name,
                names=names,
            )
        )
    book.add_readings([replace(one, sample=f"{STEM}{number}") for number, one in enumerate(patches, 1)])
    return len(patches)
