"""Firing programmes as the lab entered them: kept, shown, never proposed."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path

from stainbook.book import Book
from stainbook.files import read_programmes
from stainbook.language import say
from stainbook.work.documents.day_schemas import ProgrammeResult, ProgrammeShown


def load_programmes(book: Book, path: Path) -> ProgrammeResult:
    """Store the programmes of a file and show all; raises FileError for one that cannot be used."""
    loaded = read_programmes(path)
    book.add_programmes(loaded.records)
    return shown(book)


def shown(book: Book) -> ProgrammeResult:
    """All programmes of the book; one without the sheet it came from is told."""
    programmes = list(book.programmes().values())
    bare = [one.programme for one in programmes if one.source_sheet is None]
    told = [say("{name}: no source_sheet, the maker's sheet that it was taken from", name=name) for name in bare]
    return ProgrammeResult(programmes=[ProgrammeShown(**asdict(one)) for one in programmes], warnings=told)
