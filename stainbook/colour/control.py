"""A control chart of single readings: is the instrument still what it was?"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

MEAN_RANGE = 1.128  # mean range of two normal readings over their standard deviation; ISO 7870-2
BASELINE = 12  # first readings that set centre and sigma
FEWEST = 3
USUAL_SD = (0.3, 0.2, 0.2)  # L*, a*, b* of one reading; common practice
USUAL_ROWS = 6  # how many moving ranges the usual one is worth
RUN = 8  # readings in a row on one side of the centre; ISO 7870-2 and common practice say seven to nine
TREND = 6  # readings in a row that each go further


class Chart(NamedTuple):
    """Centre (3,), sigma (3,), and for each reading (n) what it signals, an empty list while in control."""

    centre: Floats
    sigma: Floats
    signals: list[list[str]]


def control_chart(lab: ArrayLike) -> Chart:
    """Individuals chart of L*, a*, b* by moving ranges.

    Parameters
    ----------
    lab : (n, 3) float, readings of one chip in the order of time, n from 3

    Raises
    ------
    ValueError
        For fewer readings.

    References
    ----------
    ISO 7870-2:2013 (Shewhart charts), from memory; the usual repeatability is pooled with few ranges.
    """
    values = np.asarray(lab, dtype=np.float64)
    if values.ndim != 2 or values.shape[1] != 3 or len(values) < FEWEST:
        raise ValueError(f"found readings of shape {values.shape}, expected (n, 3) with n from {FEWEST}")
    first = values[:BASELINE]
    ranges = np.abs(np.diff(first, axis=0)).sum(axis=0) / MEAN_RANGE
    sigma = (ranges + USUAL_ROWS * np.asarray(USUAL_SD)) / (len(first) - 1 + USUAL_ROWS)
    centre = first.mean(axis=0)
    away = (values - centre) / sigma
    signals = [
        [line for k, axis in enumerate(("L*", "a*", "b*")) for line in _signals(away[: i + 1, k], axis)]
        for i in range(len(values))
    ]
    return Chart(centre, sigma, signals)


def _signals(away: Floats, axis: str) -> list[str]:
    """What the last of some readings signals, in sigmas from the centre."""
    found = [f"{axis} beyond three sigma"] if abs(away[-1]) > 3.0 else []
    last, steps = away[-RUN:], np.diff(away[-TREND:])
    if len(last) == RUN and (np.all(last > 0) or np.all(last < 0)):
        found.append(f"{axis} {RUN} in a row on one side")
    if len(steps) == TREND - 1 and (np.all(steps > 0) or np.all(steps < 0)):
        found.append(f"{axis} {TREND} in a row {'rising' if steps[0] > 0 else 'falling'}")
    return found
