"""``lab.case(code).measured``: readings of a case typed, pasted or dropped: looked at, stored, corrected."""

from __future__ import annotations

from stainbook.faces.lab_view import CaseTopic
from stainbook.work.case import typed_readings
from stainbook.work.case.typed_readings import Given
from stainbook.work.firing import corrections, late_readings, read_one
from stainbook.work.reading.typed_colour import Light, asked_under
from stainbook.work.reading.typing_slips import ExpectedReading


class MeasuredFace(CaseTopic):
    """The readings of one case; each raises InputError for readings that cannot be used."""

    def order(self) -> tuple[typed_readings.ReadingPlace, ...]:
        """List the readings to take, in order.

        >>> [one.sample for one in lab.case("W-1051").measured.order()]
        ['W-1051-11-cervical', 'W-1051-11-middle', 'W-1051-11-incisal']
        """
        return self._kept("order", lambda: typed_readings.order_of(self._book, self.what))

    def rows(self, given: Given) -> tuple[typed_readings.RowRead, ...]:
        r"""Give what was recognised row by row, to be given to zones by hand.

        >>> from stainbook.faces.firing_types import Given
        >>> [one.colour.L for one in lab.case("W-1051").measured.rows(Given("72.0 1.0 16.0\n73.5 0.8 14.0"))]
        [72.0, 73.5]
        """
        return self._kept(("rows", given), lambda: typed_readings.rows_read(self._book, given))

    def preview(self, given: Given) -> typed_readings.Preview:
        r"""Give what would be stored of some readings.

        >>> from stainbook.faces.firing_types import Given
        >>> typed = Given("70.1 2.0 18.0\n72.0 1.0 16.0\n73.5 0.8 14.0", illuminant="D65", observer=10)
        >>> [one.place.zone for one in lab.case("W-1051").measured.preview(typed).rows]
        ['cervical', 'middle', 'incisal']
        """
        return self._kept(("preview", given), lambda: typed_readings.preview(self._book, self.what, given))

    def store(self, given: Given) -> int:
        r"""Store readings; gives how many.

        >>> from stainbook.faces.firing_types import Given
        >>> typed = Given("70.1 2.0 18.0\n72.0 1.0 16.0\n73.5 0.8 14.0", illuminant="D65", observer=10)
        >>> lab.case("W-1051").measured.store(typed)
        3
        """
        stored = typed_readings.store(self._book, self.what, given)
        late_readings.join_firing(self._book, self._code)
        return stored

    def to_read(self) -> tuple[read_one.ZoneToRead, ...]:
        """List the zones to be read now, in order, each with what is expected of it and how it was read.

        >>> [(one.zone, one.got) for one in lab.case("W-1063").measured.to_read()]
        [('middle', None), ('cervical', None)]
        """
        return self._kept("reads", lambda: read_one.zones_to_read(self._book, self._code))

    def take(
        self,
        sample: str,
        text: str,
        light: Light,
        expected: ExpectedReading | None = None,
        *,
        film: str | None = None,
        sure: bool = False,
        again: bool = False,
    ) -> read_one.ReadOne:
        """Store what was read of one zone, now; what looks like a slip is asked about first.

        text : L*, a*, b* as typed; film : over the face, a word of the files' column, such as ``water``
        sure : it is so, whatever was expected; again : what was typed last was wrong
        Raises InputError for what is no colour.

        >>> from stainbook.faces.reading_types import Light
        >>> measured = lab.case("W-1051").measured
        >>> zone = measured.to_read()[1]
        >>> measured.take(zone.sample, "27.9 0.5 13.1", Light("D65", 10), zone.expected).slip.question
        '11 middle: 27.9, did you mean 72.9?'
        """
        return read_one.take_one(
            self._book, self._code, sample, text, light, expected, film=film, sure=sure, again=again
        )

    def read(self) -> tuple[corrections.ReadZone, ...]:
        """Give the readings that hold for the zones now.

        >>> [(one.zone, round(one.colour.L, 1)) for one in lab.case("W-1051").measured.read()]
        [('cervical', 69.9), ('middle', 72.9), ('incisal', 71.9)]
        """
        return self._kept("read", lambda: corrections.read_zones(self._book, self._code))

    def correct(self, sample: str, *, lab: str, why: str, light: Light) -> None:
        """Correct the reading of a sample to ``lab`` (L*, a*, b* as typed); an empty ``lab`` takes it back.

        >>> from stainbook.faces.reading_types import Light
        >>> measured = lab.case("W-1042").measured
        >>> sample = measured.read()[0].sample
        >>> measured.correct(sample, lab="71.0 2.0 18.5", why="tip was dirty", light=Light("D65", 10))
        >>> measured.read()[0].colour.L
        71.0
        """
        asked = asked_under(self._book, light)
        corrections.correct_reading(self._book, self._code, sample, lab=lab, why=why, asked=asked)
