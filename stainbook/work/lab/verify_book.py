"""Whether the book still says what was stored in it, and whether fit and learning follow from its records."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from stainbook import __version__
from stainbook.book import Book, Fit
from stainbook.language import say
from stainbook.work.documents.book_schemas import VerifyResult
from stainbook.work.stains.learnt import RULES as FITTING
from stainbook.work.stains.learnt import SCOPE
from stainbook.work.stains.outcome_learning import RULES, learnt_again
from stainbook.work.stains.outcome_learning import SCOPE as LEARNT
from stainbook.work.stains.stain_calibration import refit

FIT_AGREES = 1e-9  # largest difference of a recomputed number, absolute: another order of sums, no other data


def verify(book: Book) -> VerifyResult:
    """Check every record and their chain, and compute the newest fit again from the records it was made of."""
    checked = book.verify()
    learning = check_learning(book)
    faults = [*checked.faults, *learning.faults]
    return VerifyResult(
        ok=not faults,
        records=checked.rows,
        head=checked.head,
        erased=checked.erased,
        faults=faults,
        fit=learning.apart,
        warnings=learning.warnings,
    )


@dataclass(frozen=True, slots=True)
class Learning:
    """Whether the newest fits follow from the records: by how much that of the chips differs, and what is wrong."""

    apart: float | None = None
    faults: list[str] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)


def check_learning(book: Book) -> Learning:
    """Compute the newest fit, and what was learnt, again from the records that they were made of."""
    faults, warnings = [], []
    fit = book.fit(SCOPE)
    apart = None
    if fit is not None and (fit.document.get("version") != __version__ or fit.document.get("rules") != FITTING):
        warnings.append(
            say("the fit of the stains was made by another version of stainbook: calibrate again to check it")
        )
    elif fit is not None:
        apart = _fit_differs(book, fit)
        if not apart <= FIT_AGREES:
            faults.append(
                say(
                    "the fit of the stains does not follow from the book's chips: it differs by {difference:.3g}",
                    difference=apart,
                )
            )
    taught = book.fit(LEARNT)
    if taught is not None and _by_other_rules(taught):
        warnings.append(
            say("what was learnt of hands and jars was learnt by another version: the next record learns again")
        )
    elif taught is not None:
        off = _learnt_differs(book, taught)
        if not off <= FIT_AGREES:
            faults.append(
                say(
                    "what was learnt does not follow from the book's outcomes: it differs by {difference:.3g}",
                    difference=off,
                )
            )
    return Learning(apart, faults, warnings)


def _by_other_rules(taught: Fit) -> bool:
    return taught.document.get("version") != __version__ or taught.document.get("rules") != RULES


def _fit_differs(book: Book, fit: Fit) -> float:
    """The largest difference of the fit, computed again from the book as it was when the fit was stored."""
    again = refit(book.as_of(book.entered("fit", SCOPE)[-1].number))
    return float("inf") if again is None else difference(again, fit.document)


def _learnt_differs(book: Book, taught: Fit) -> float:
    """The largest difference of what was learnt, computed again from the book as it was when that was stored."""
    again = learnt_again(book.as_of(book.entered("fit", LEARNT)[-1].number - 1))
    return float("inf") if again is None else difference(again[1], taught.document)


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
