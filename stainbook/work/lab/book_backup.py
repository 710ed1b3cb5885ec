"""A copy of the book that was read back before it counts."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from stainbook.book import Book
from stainbook.work.documents.book_schemas import BackupResult


def back_up_book(book: Book, to: Path | None = None) -> BackupResult:
    """Copy the book to a file, while others may write; the copy is whole and verified, or there is none.

    to : a file or a folder; beside the book, with the time in its name, when None.

    Raises BookError where it cannot be written, and for a book on a server, whose own tools do that.
    """
    name = f"lab-{datetime.now(UTC):%Y%m%dT%H%M%SZ}.db"
    path = to / name if to is not None and to.is_dir() else to
    copy, records = book.copy_to(path)
    return BackupResult(path=str(copy), records=records)
