"""The weekly chip: its readings in the book as a control chart of the instrument, and whether it is out now."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from stainbook.book import Book
from stainbook.colour import delta_e_2000
from stainbook.colour.control import BEYOND, FEWEST, control_chart
from stainbook.errors import InputError, some_of
from stainbook.files.values import instant
from stainbook.language import say
from stainbook.records import Reading
from stainbook.words import control_words as words
from stainbook.words.times import day
from stainbook.work.documents.day_schemas import ControlPoint, ControlResult, LabShift
from stainbook.work.reading.samples import colour_of
from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER, Asked, viewing_of


def control(book: Book, chip: str, asked: Asked | None = None) -> ControlResult:
    """All dated readings of a chip, oldest first.

    Raises InputError for fewer than three of them, and for colours of several lights.
    """
    asked = asked or Asked()
    dated = [(when, one) for one in book.readings(chip) if (when := instant(one.taken_at or "")) is not None]
    readings = [one for _, one in sorted(dated, key=lambda pair: pair[0])]
    if len(readings) < FEWEST:
        raise InputError(
            say(
                "the book holds {n} dated readings of {chip!r}, expected {least} or more: read the same "
                "chip each week and give taken_at",
                n=len(readings),
                chip=chip,
                least=FEWEST,
            )
        )
    instruments = {one.instrument for one in readings if one.instrument}
    if len(instruments) > 1:
        raise InputError(
            say(
                "{chip!r} was read by {instruments}, expected one instrument on a chart",
                chip=chip,
                instruments=some_of(sorted(instruments)),
            )
        )
    own = next((view for one in readings if (view := viewing_of(one)) is not None), SPECTRA_SEEN_UNDER)
    viewing = asked.viewing or own
    lab = np.array([colour_of(one, viewing, adapt=asked.adapt).lab for one in readings])
    chart = control_chart(lab)
    points = [
        ControlPoint(taken_at=one.taken_at, L=L, a=a, b=b, dE00=float(dE), signals=signals)
        for one, (L, a, b), dE, signals in zip(
            readings, lab.tolist(), delta_e_2000(lab, chart.centre), chart.signals, strict=True
        )
    ]
    found = ControlResult(
        chip=chip,
        centre=_shift(chart.centre.tolist()),
        sigma=_shift(chart.sigma.tolist()),
        illuminant=viewing.illuminant,
        observer=viewing.observer or None,
        points=points,
        in_control=True,
    )
    return found.model_copy(update={"in_control": not _is_out(points[-1], found)})


def _shift(values: list[float]) -> LabShift:
    return LabShift(L=values[0], a=values[1], b=values[2])


# ---------------------------------------------------------------- whether it is out now

WEEKS = 6  # dated readings, each of another day, from which a sample is taken for a control chip without being named


@dataclass(frozen=True, slots=True)
class ChipOut:
    """A control chip whose newest reading signals; ``last_good`` is when it was last in control, empty for never."""

    chip: str
    instrument: str | None
    last_good: str
    since: str
    signals: tuple[str, ...]

    def touches(self, reading: Reading) -> bool:
        """Whether a reading was taken by this instrument since the chip was last in control, as far as is known."""
        if reading.is_photo or reading.instrument != self.instrument:
            return False
        taken, good = instant(reading.taken_at or ""), instant(self.last_good)
        return taken is None or good is None or taken > good

    @property
    def said(self) -> str:
        """Why no chance is told."""
        return words.out_of_control(self.chip, self.instrument, day(self.since[:10]), self.signals)


def control_chips(book: Book) -> dict[str, list[Reading]]:
    """The control chips with their readings: samples read on six days or more that are no zone of a case."""
    cases = tuple(f"{code}-" for code in book.names("case"))
    names = [name for name in book.read_often(WEEKS) if not name.startswith(cases)]
    return {name: own for name, own in book.readings_of(names).items() if _is_control(own)}


def chips_out(book: Book) -> list[ChipOut]:
    """The control chips that are out now."""
    found = (_out(book, name, own) for name, own in control_chips(book).items())
    return [one for one in found if one is not None]


def last_read(readings: Iterable[Reading]) -> str:
    """When a chip was read last, ISO 8601; empty where nobody said."""
    return max((one.taken_at or "" for one in readings), default="")


def _is_control(readings: Iterable[Reading]) -> bool:
    """One thing read alike time after time: a plate that was fired in between is none."""
    known = list(readings)
    days = {(one.taken_at or "")[:10] for one in known} - {""}
    ways = {(one.instrument, one.stage, one.surface, one.film, one.backing, one.tissue) for one in known}
    return len(days) >= WEEKS and len(ways) == 1 and known[0].tissue is None


def _out(book: Book, chip: str, readings: Iterable[Reading]) -> ChipOut | None:
    try:
        chart = control(book, chip)
    except InputError:
        return None  # its colours cannot stand on one chart
    points = chart.points
    good = [n for n, point in enumerate(points) if not _is_out(point, chart)]
    if good and good[-1] == len(points) - 1:
        return None
    first = points[good[-1] + 1 if good else 0]
    instrument = next(iter(readings)).instrument
    last_good = points[good[-1]].taken_at if good else None
    return ChipOut(chip, instrument, last_good or "", first.taken_at or "", tuple(points[-1].signals))


def _is_out(point: ControlPoint, chart: ControlResult) -> bool:
    """Whether a reading says that the instrument is off.

    A moving mean remembers a drift long after the instrument was set right: it counts where the reading itself lies
    more than a sigma off the same way.
    """
    for axis in ("L", "a", "b"):
        away = (getattr(point, axis) - getattr(chart.centre, axis)) / getattr(chart.sigma, axis)
        drifted = f"{axis}* has drifted {'up' if away > 0 else 'down'}" in point.signals
        if abs(away) > BEYOND or (abs(away) > 1.0 and drifted):
            return True
    return False


def held_back_by(book: Book, readings: Iterable[Reading]) -> str | None:
    """Why no chance is told of zones that were read so: their instrument's control chip is out; None where none is."""
    known = list(readings)
    return next((one.said for one in chips_out(book) if any(map(one.touches, known))), None) if known else None
