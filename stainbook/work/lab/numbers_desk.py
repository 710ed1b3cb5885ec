"""The lab's numbers as their page asks for them: of a period, and as files to take away."""

from __future__ import annotations

from datetime import date

from stainbook.book import Book
from stainbook.work.documents.number_schemas import NumbersResult
from stainbook.work.lab.numbers import COLUMNS, csv_of, numbers, table_of
from stainbook.work.lab.workbook import workbook_of


def numbers_of(book: Book, *, since: date | None = None, until: date | None = None) -> NumbersResult:
    """The lab's numbers of the firings between two days, both counted; None: no end on that side."""
    return numbers(book, since=since.isoformat() if since else None, until=until.isoformat() if until else None)


def numbers_csv(result: NumbersResult) -> str:
    """The numbers as CSV."""
    return csv_of(result)


def numbers_workbook(result: NumbersResult) -> bytes:
    """The numbers as a workbook, no cell of which is a formula."""
    return workbook_of([("numbers", [COLUMNS, *table_of(result)])])
