"""Ordinary work that is a stripe: a zone painted with one stain alone, read before and after.

Learning takes such zones as stripes of a stain that has none of its own (`match.work_as_chips`). Where nothing was
calibrated at all, three firings of them begin a fit without any plate.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import Any

from stainbook.book import Book, Transaction
from stainbook.kept import Outcome
from stainbook.match.work_as_chips import stain_alone
from stainbook.optics.curves import Optics
from stainbook.records import Reading
from stainbook.work.reading.reading_conditions import ReadWith
from stainbook.work.stains.learnt import SCOPE, document_of

FIRINGS = 3  # of ordinary work before anything is said of a stain that no plate showed


def work_stripes(book: Book | Transaction) -> list[tuple[str, Outcome]]:
    """The stain and the outcome of each zone of ordinary work that is a stripe, as stored; none that is set aside."""
    wrong = {name for name, one in book.decisions().items() if one.verdict == "wrong"}
    return list(_stripes(one for one in book.outcomes() if one.outcome not in wrong))


def _stripes(outcomes: Iterable[Outcome]) -> Iterable[tuple[str, Outcome]]:
    for one in outcomes:
        stain = stain_alone(one.layers)
        if stain is not None and _computable(one.before) and _computable(one.after):
            yield stain, one


def _computable(reading: Reading | None) -> bool:
    """Whether a reading's light is known."""
    return reading is not None and (reading.is_spectral or (reading.viewing is not None and reading.viewing.known))


def begun(book: Book) -> tuple[dict[str, Any], bytes] | None:
    """A fit of no plate, as it is kept, from which ordinary work goes on; None while there is too little of it."""
    found = [one for _, one in work_stripes(book)]
    if len({(one.case, one.fired_at) for one in found}) < FIRINGS:
        return None
    hands = Counter(one.operator for one in found if one.operator).most_common(1)
    optics = Optics({}, operator=hands[0][0] if hands else None)
    return document_of(optics, {}, ReadWith.usual(one.after for one in found if one.after is not None))


def begin(book: Book) -> None:
    """Keep a fit that begins with ordinary work, where nothing was calibrated yet."""
    if book.fit(SCOPE) is None and (first := begun(book)) is not None:
        document, data = first
        book.add_fit(SCOPE, document, data=data)
