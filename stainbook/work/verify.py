"""Whether the book still says what was stored in it, and whether its fit follows from its records."""

from __future__ import annotations

from typing import Any

from stainbook.book import Book
from stainbook.work.book_schemas import VerifyResult
from stainbook.work.calibrate import refit
from stainbook.work.learnt import SCOPE

FIT_AGREES = 1e-9  # largest difference of a recomputed number, absolute: another order of sums, no other data


def verify(book: Book) -> VerifyResult:
    """Check every record and their chain, and compute the newest fit again from the records it was made of."""
    checked = book.verify()
    faults = list(checked.faults)
    apart = _fit_differs(book)
    if apart is not None and not apart <= FIT_AGREES:
        faults.append(f"the fit of the stains does not follow from the book's chips: it differs by {apart:.3g}")
    return VerifyResult(
        ok=not faults, records=checked.rows, head=checked.head, erased=checked.erased, faults=faults, fit=apart
    )


def _fit_differs(book: Book) -> float | None:
    """The largest difference of the recomputed fit; None where there is no fit, or none from the book's own chips."""
    entered = book.entered("fit", SCOPE)
    fit = book.fit(SCOPE)
    if fit is None or not entered:
        return None
    again = refit(book.as_of(entered[-1].number))
    return None if again is None else difference(again, fit.document)


def difference(first: Any, second: Any) -> float:
    """The largest absolute difference of two plain documents; infinite where they are not alike."""
    if isinstance(first, dict) and isinstance(second, dict):
        if first.keys() != second.keys():
            return float("inf")
        return max((difference(first[key], second[key]) for key in first), default=0.0)
    if isinstance(first, list | tuple) and isinstance(second, list | tuple):
        if len(first) != len(second):
            return float("inf")
        return max(map(difference, first, second), default=0.0)
    if isinstance(first, int | float) and isinstance(second, int | float):
        return abs(first - second)
    return 0.0 if first == second else float("inf")
