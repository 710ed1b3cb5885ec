"""The book: what the lab keeps, append-only, in SQLite or PostgreSQL.

``open_book`` is the way in. SQLAlchemy is loaded when a book is opened, Alembic only when a book
is made or migrated.

The examples of this room use a book that holds one crown, read once:

>>> from stainbook.records import Case, CaseZone, LabRef, Layer, Pot, Reading, Target, Viewing
>>> light = Viewing("D65", 10)
>>> zone = CaseZone(11, "middle", "tooth", target=Target(LabRef((74.0, 1.6, 18.0), light)))
>>> crown = Case("W-7", (zone,), material="zirconia", stage="sintered")
>>> reading = Reading("W-7-11-middle", lab=(72.9, 0.5, 13.0), viewing=light)
>>> book = open_book("sqlite:///lab.db", author="bench-1")
>>> book.add_cases([crown]), book.add_readings([reading])
(1, 1)
"""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Any

from stainbook.book.entries import Entered, Fit, Import, Revised
from stainbook.errors import InputError
from stainbook.language import say

if TYPE_CHECKING:
    from stainbook.book.store import Book, Transaction

__all__ = ["Book", "Entered", "Fit", "Import", "Revised", "Transaction", "open_book"]


def __getattr__(name: str) -> Any:
    if name in ("Book", "Transaction"):
        from stainbook.book import store

        return getattr(store, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def open_book(
    url: str | None = None, *, author: str | None = None, lab: str | None = None, timeout: float = 30.0
) -> Book:
    """Open the lab's book, making or migrating it first where that is needed.

    url : ``sqlite:///path/lab.db``, ``postgresql+psycopg://user@host/name``, or None for a SQLite
        book in the user's data folder.
    author : who makes the changes; "the lab" or what STAINBOOK_AUTHOR says when None.
    lab : whose cases these are, where several labs share a database; the environment's STAINBOOK_LAB when None.
        Any text but ``*``, which stands for all labs.
    timeout : seconds to wait for another writer before giving up.

    Raises InputError for a URL that cannot name a book, BookError for a book that cannot be opened.

    >>> with open_book("sqlite:///new.db", author="bench-1") as new:
    ...     new.counts()
    {}
    """
    from stainbook.book.book_tables import ALL_LABS
    from stainbook.book.store import Book
    from stainbook.book.upgrade import ready

    name = os.environ.get("STAINBOOK_LAB", "") if lab is None else lab
    if name == ALL_LABS:
        raise InputError(say("laboratory {lab!r}: found the sign for all labs, expected a name", lab=name))
    return Book(ready(url, timeout=timeout), author=author, lab=name)
