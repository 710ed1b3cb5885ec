"""``lab.numbers``: first firings that did, firings a unit, returns by reason, minutes."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from stainbook.faces.lab_view import LabFace
from stainbook.work.documents.book_schemas import NumbersResult
from stainbook.work.documents.trust_schemas import TrustResult
from stainbook.work.lab.claims_met import trust
from stainbook.work.lab.numbers import BY, numbers, write_numbers
from stainbook.work.lab.numbers_desk import numbers_csv, numbers_of, numbers_workbook


class NumbersFace(LabFace):
    """The lab's numbers."""

    def of(self, since: date | None = None, until: date | None = None) -> NumbersResult:
        """The numbers of the firings between two days, both counted; None: no end on that side."""
        return self._kept(("of", since, until), lambda: numbers_of(self._book, since=since, until=until))

    def by(
        self, kinds: Sequence[str] = (), *, since: str | None = None, until: str | None = None, csv: Path | None = None
    ) -> NumbersResult:
        """The numbers by clinic, technician, stain or month, all of them where none is named; also saved as CSV."""
        result = numbers(self._book, kinds or tuple(BY), since=since, until=until)
        if csv is not None:
            write_numbers(result, csv)
        return result

    def trust(self, since: date | str | None = None, until: date | str | None = None) -> TrustResult:
        """Chances claimed before firings against what came out of them, between two days, both counted."""
        days = [day.isoformat() if isinstance(day, date) else day for day in (since, until)]
        return self._kept(("trust", *days), lambda: trust(self._book, since=days[0], until=days[1]))

    def csv(self, found: NumbersResult) -> str:
        """Numbers as CSV."""
        return numbers_csv(found)

    def workbook(self, found: NumbersResult) -> bytes:
        """Numbers as a workbook, no cell of which is a formula."""
        return numbers_workbook(found)
