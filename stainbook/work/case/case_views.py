"""The cases of a book as lists have them, what tells one content of a case from another, and its gaps."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from stainbook.book import Book
from stainbook.records import Case, SampleRef
from stainbook.work.case.case_gaps import CaseGaps, case_gaps
from stainbook.work.case.current_case import What, current_case, is_file
from stainbook.work.case.library import FOLDER_READINGS
from stainbook.work.case.views import CaseView


@dataclass(frozen=True, slots=True)
class CaseHead:
    """One case of a list: its code, the number of the newest row that tells of it, and whether it left the lab."""

    code: str
    newest: int
    out: bool


def case_heads(book: Book) -> tuple[CaseHead, ...]:
    """The cases of a book, the one told of last first."""
    found = [CaseHead(*one) for one in book.case_heads()]
    return tuple(sorted(found, key=lambda one: -one.newest))


def case_mark(book: Book, what: What) -> str:
    """A text that changes whenever the book does, or a case file or a file that it names.

    Raises InputError for a case file that cannot be used.
    """
    change = book.last_change()
    if not is_file(what):
        return f"{what} {change}"
    path = Path(what)
    seen = [str(change), *(_file_mark(one) for one in (path, *_named_files(current_case(book, path).case)))]
    return hashlib.sha256("\n".join(seen).encode()).hexdigest()


def _named_files(case: Case) -> Iterable[Path]:
    refs = [ref for zone in case.zones for ref in (zone.now, zone.target.colour if zone.target else None)]
    named = [ref.file for ref in refs if isinstance(ref, SampleRef) and ref.file]
    beside = [case.folder / name for name in FOLDER_READINGS] if case.folder else []
    return sorted({*named, *beside})


def _file_mark(path: Path) -> str:
    if not path.is_file():
        return f"{path} -"
    found = path.stat()
    return f"{path} {found.st_size} {found.st_mtime_ns}"


def view_gaps(book: Book, what: What) -> CaseView:
    """The gaps of a case alone, which are there at once; raises InputError for files that cannot be used."""
    return gaps_shown(case_gaps(book, what))


def gaps_shown(gaps: CaseGaps) -> CaseView:
    """The gaps of a case as its page shows them."""
    warnings = (*([gaps.why] if gaps.why else []), *gaps.warnings)
    return CaseView(gaps.case, gaps.shown, warnings, gaps.state)
