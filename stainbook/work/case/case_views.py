"""A case's gaps as its pages show them."""

from __future__ import annotations

from stainbook.book import Book
from stainbook.work.case.case_gaps import CaseGaps, case_gaps
from stainbook.work.case.current_case import What
from stainbook.work.case.views import CaseView


def view_gaps(book: Book, what: What) -> CaseView:
    """The gaps of a case alone, which are there at once; raises InputError for files that cannot be used."""
    return gaps_shown(case_gaps(book, what))


def gaps_shown(gaps: CaseGaps) -> CaseView:
    """The gaps of a case as its page shows them."""
    warnings = (*([gaps.why] if gaps.why else []), *gaps.warnings)
    return CaseView(gaps.case, gaps.shown, warnings, gaps.state)
