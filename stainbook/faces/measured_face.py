"""``lab.case(code).measured``: readings of a case typed, pasted or dropped: looked at, stored, corrected."""

from __future__ import annotations

from stainbook.faces.lab_view import CaseTopic
from stainbook.work.case import typed_readings
from stainbook.work.case.typed_readings import Given
from stainbook.work.firing import corrections
from stainbook.work.reading.typed_colour import Light, asked_under


class MeasuredFace(CaseTopic):
    """The readings of one case; each raises InputError for readings that cannot be used."""

    def order(self) -> tuple[typed_readings.ReadingPlace, ...]:
        """The readings to take, in order."""
        return self._kept("order", lambda: typed_readings.order_of(self._book, self.what))

    def rows(self, given: Given) -> tuple[typed_readings.RowRead, ...]:
        """What was recognised row by row, to be given to zones by hand."""
        return self._kept(("rows", given), lambda: typed_readings.rows_read(self._book, given))

    def preview(self, given: Given) -> typed_readings.Preview:
        """What would be stored."""
        return self._kept(("preview", given), lambda: typed_readings.preview(self._book, self.what, given))

    def store(self, given: Given) -> int:
        """Store them; gives how many."""
        return typed_readings.store(self._book, self.what, given)

    def read(self) -> tuple[corrections.ReadZone, ...]:
        """The readings that hold for its zones now."""
        return self._kept("read", lambda: corrections.read_zones(self._book, self._code))

    def correct(self, sample: str, *, lab: str, why: str, light: Light) -> None:
        """Correct the reading of a sample; without ``lab`` it is taken back."""
        asked = asked_under(self._book, light)
        corrections.correct_reading(self._book, self._code, sample, lab=lab, why=why, asked=asked)
