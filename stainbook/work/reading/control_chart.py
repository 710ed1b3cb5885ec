"""The weekly chip: its readings in the book as a control chart of the instrument."""

from __future__ import annotations

import numpy as np

from stainbook.book import Book
from stainbook.colour import delta_e_2000
from stainbook.colour.control import FEWEST, control_chart
from stainbook.errors import InputError, some_of
from stainbook.files.values import instant
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
            f"the book holds {len(readings)} dated readings of {chip!r}, expected {FEWEST} or more: read the same chip "
            "each week and give taken_at"
        )
    instruments = {one.instrument for one in readings if one.instrument}
    if len(instruments) > 1:
        raise InputError(f"{chip!r} was read by {some_of(sorted(instruments))}, expected one instrument on a chart")
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
    return ControlResult(
        chip=chip,
        centre=_shift(chart.centre.tolist()),
        sigma=_shift(chart.sigma.tolist()),
        illuminant=viewing.illuminant,
        observer=viewing.observer or None,
        points=points,
        in_control=not points[-1].signals,
    )


def _shift(values: list[float]) -> LabShift:
    return LabShift(L=values[0], a=values[1], b=values[2])
