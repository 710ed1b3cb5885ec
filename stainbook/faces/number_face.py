"""``lab.numbers``: first firings that did, firings a unit, returns by reason, minutes."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from stainbook.faces.lab_view import LabFace
from stainbook.work.documents.number_schemas import CostsResult, NumbersResult
from stainbook.work.documents.trust_schemas import TrustResult
from stainbook.work.lab.claims_met import trust
from stainbook.work.lab.costs import costs
from stainbook.work.lab.numbers import BY, numbers, write_numbers
from stainbook.work.lab.numbers_desk import numbers_csv, numbers_of, numbers_workbook


class NumbersFace(LabFace):
    """The lab's numbers."""

    def of(self, since: date | None = None, until: date | None = None) -> NumbersResult:
        """Give the numbers of the firings between two days, both counted; None: no end on that side.

        No figure is told of fewer than 20 units; of technicians their own, all to a lead where the lab has it so.

        >>> from datetime import date
        >>> whole = lab.numbers.of(date(2026, 1, 1), date(2026, 6, 30)).rows[0]
        >>> whole.cases, whole.units, whole.few
        (6, 8, True)
        """
        asks = self._book.author, self._lab.role
        return self._kept(("of", asks, since, until), lambda: numbers_of(self._book, since=since, until=until))

    def costs(self, since: date | str | None = None) -> CostsResult:
        """Give what cases took before and since a day: firings, strips, try-ins, remakes, and what that costs.

        Raises InputError for what is no day.

        >>> [(row.period, row.cases, row.few) for row in lab.numbers.costs("2026-03-01").rows]
        [('before', 2, True), ('since', 4, True)]
        """
        day = since.isoformat() if isinstance(since, date) else since
        return self._kept(("costs", day), lambda: costs(self._book, since=day))

    def by(
        self, kinds: Sequence[str] = (), *, since: str | None = None, until: str | None = None, csv: Path | None = None
    ) -> NumbersResult:
        """Give the numbers by clinic, technician, stain or month, by all of them where none is named.

        since, until : first and last day as 2026-03-01; csv : where to save them too
        Raises UnknownNameError for another grouping, InputError for what is no day.

        >>> [(row.name, row.units) for row in lab.numbers.by(["technician"]).rows]
        [('bench-1', 3)]
        """
        result = numbers(self._book, kinds or tuple(BY), since=since, until=until)
        if csv is not None:
            write_numbers(result, csv)
        return result

    def trust(self, since: date | str | None = None, until: date | str | None = None) -> TrustResult:
        """Give the chances claimed before firings against what came out of them, between two days, both counted.

        >>> lab.numbers.trust().left_out  # by the reason
        {}
        """
        days = [day.isoformat() if isinstance(day, date) else day for day in (since, until)]
        return self._kept(
            ("trust", self._book.author, self._lab.role, *days), lambda: trust(self._book, since=days[0], until=days[1])
        )

    def csv(self, found: NumbersResult) -> str:
        """Give numbers as CSV.

        >>> lab.numbers.csv(lab.numbers.by(["technician"])).splitlines()[0][:18]
        'by,name,cases,unit'
        """
        return numbers_csv(found)

    def workbook(self, found: NumbersResult) -> bytes:
        """Give numbers as a workbook, no cell of which is a formula.

        >>> lab.numbers.workbook(lab.numbers.by(["technician"]))[:2]  # a zip archive
        b'PK'
        """
        return numbers_workbook(found)
