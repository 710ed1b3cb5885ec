"""A glaze firing of the whole piece, told in one press: nothing is painted but the finish that the case names."""

from __future__ import annotations

from stainbook.book import Book
from stainbook.kept import Firing, Report
from stainbook.language import say
from stainbook.work.case.current_case import known_case
from stainbook.work.case.open_case import now
from stainbook.work.documents.book_schemas import RecordResult
from stainbook.work.firing.record import record_reports


def glazed_all(book: Book, code: str) -> RecordResult:
    """Note that a case was glazed whole, now; raises InputError where the piece may not be fired.

    Who accepted it saw it glazed: the firing is only told late.
    """
    firing = Firing(code, now(), kind="glaze", accepted_by=known_case(book, code).state.accepted_by)
    return record_reports(book, [Report(firing, (), source=say("the glaze"))])
