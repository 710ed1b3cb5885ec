"""A control chart of single readings: is the instrument still what it was?"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stainbook.language import say

Floats = NDArray[np.float64]

MEAN_RANGE = 1.128  # mean range of two normal readings over their standard deviation: d2 of ISO 7870-2
BASELINE = 12  # first readings that set centre and sigma
FEWEST = 3
USUAL_SD = (0.3, 0.2, 0.2)  # L*, a*, b* of one reading; common practice
USUAL_ROWS = 6  # how many moving ranges the usual one is worth
BEYOND = 3.32  # sigmas of one reading: of three axes together as seldom as three sigma of one (1 in 370)
WEIGHT = 0.2  # of the newest reading in the moving mean (EWMA; Lucas, Saccucci 1990)
DRIFT = 2.96  # sigmas of the moving mean


class Chart(NamedTuple):
    """Centre (3,), sigma (3,), and for each reading (n) what it signals, an empty list while in control."""

    centre: Floats
    sigma: Floats
    signals: list[list[str]]


def control_chart(lab: ArrayLike) -> Chart:
    """Individuals chart of L*, a*, b* by moving ranges, with a moving mean for drift.

    Of 120 readings in control 3 % signal; the first false alarm comes after 71 in the median and 157 on average
    (simulated; with runs of eight, trends of six and limits of one axis it was 8.4 %, and 24 in the median).

    Parameters
    ----------
    lab : (n, 3) float, readings of one control sample in the order of time, n from 3

    Returns
    -------
    Chart : centre (3,), sigma (3,), and of each reading the list of its signals

    Raises
    ------
    ValueError : for fewer readings

    References
    ----------
    ISO 7870-2:2013 (Shewhart charts) and ISO 7870-6:2016 (EWMA), constants in tests/published/control_charts.csv; the
    usual repeatability is pooled with few ranges. Lucas JM, Saccucci MS. Technometrics 1990;32:1-12.

    >>> from stainbook.colour.control import control_chart
    >>> steady = [[70.0, 1.0, 15.0], [70.1, 1.0, 15.1], [69.9, 1.1, 15.0], [70.0, 0.9, 14.9]] * 4
    >>> control_chart([*steady, [68.0, 1.0, 15.0]]).signals[-1]
    ['L* beyond 3.3 sigma', 'L* has drifted down']
    """
    values = np.asarray(lab, dtype=np.float64)
    if values.ndim != 2 or values.shape[1] != 3 or len(values) < FEWEST:
        raise ValueError(f"found readings of shape {values.shape}, expected (n, 3) with n from {FEWEST}")
    first = values[:BASELINE]
    ranges = np.abs(np.diff(first, axis=0)).sum(axis=0) / MEAN_RANGE
    sigma = (ranges + USUAL_ROWS * np.asarray(USUAL_SD)) / (len(first) - 1 + USUAL_ROWS)
    centre = first.mean(axis=0)
    away = (values - centre) / sigma
    drift = moving_mean(away, len(first))
    signals = [
        [line for k, axis in enumerate(("L*", "a*", "b*")) for line in _signals(float(a[k]), float(d[k]), axis)]
        for a, d in zip(away, drift, strict=True)
    ]
    return Chart(centre, sigma, signals)


def moving_mean(away: Floats, baseline: int) -> Floats:
    """EWMA (n, 3) of readings in sigmas, over its own standard deviation; 0 in the baseline, whose mean is the centre.

    ``away`` (n, 3) is in sigmas, ``baseline`` counts readings; their mean is in doubt by sigma over the root of that.
    """
    out, mean = np.zeros_like(away), np.zeros(away.shape[1])
    for i in range(baseline, len(away)):
        mean = WEIGHT * away[i] + (1.0 - WEIGHT) * mean
        left = (1.0 - WEIGHT) ** (i - baseline + 1)
        variance = WEIGHT / (2.0 - WEIGHT) * (1.0 - left**2) + (1.0 - left) ** 2 / baseline
        out[i] = mean / np.sqrt(variance)
    return out


def _signals(away: float, drift: float, axis: str) -> list[str]:
    """What a reading signals, by how far it and the moving mean lie from the centre."""
    found = [say("{axis} beyond {limit:.1f} sigma", axis=axis, limit=BEYOND)] if abs(away) > BEYOND else []
    if abs(drift) <= DRIFT:
        return found
    drifted = say("{axis} has drifted up", axis=axis) if drift > 0 else say("{axis} has drifted down", axis=axis)
    return [*found, drifted]
