"""Cases opened in a book, for tests of what happens to them."""

from __future__ import annotations

from stainbook.book import Book
from stainbook.records import Case
from stainbook.work.case.open_case import open_as


def opened(book: Book, case: Case) -> str:
    """Open a case as it stands; gives its code."""
    with book.transaction() as step:
        open_as(step, case)
    return case.case
