"""Erasing a case, with the duties that go with it pointed out."""

from __future__ import annotations

from stainbook.book import Book
from stainbook.errors import InputError
from stainbook.work.documents.book_schemas import EraseResult

DUTY = "labs must keep records of custom-made devices for years by local rules: export the case first if they hold"
COPIES = "backups, exports and files made before still hold the case: erase them too"


def erase_case(book: Book, case: str, *, why: str | None = None, sure: bool = False) -> EraseResult:
    """Take what names a case out of the book.

    Raises UnknownNameError for a case that the book does not hold, InputError unless ``sure``.
    """
    if not sure:
        raise InputError(f"nothing was erased: {DUTY}; --yes erases {case!r}")
    tombstone = book.erase_case(case, why=why)
    return EraseResult(tombstone=tombstone.name, records=len(tombstone.rows), warnings=[DUTY, COPIES])
