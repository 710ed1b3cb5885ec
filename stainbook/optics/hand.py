"""A hand's own scatter, from one stripe painted several times."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from stainbook.language import say
from stainbook.optics.two_by_two import Array

FEWEST = 3


class HandScatter(NamedTuple):
    """Standard deviation of ln amount of one coat, and the interval that holds it in 90 of 100 hands."""

    sd: float
    low: float
    high: float
    amounts: Array  # (n,) ln amount of each stripe about their mean


def hand_scatter(ln_readings: Array, slope: Array, *, coats: int = 1, noise_sd: float = 0.005) -> HandScatter:
    """The scatter of a hand from one stripe that it painted several times.

    Parameters
    ----------
    ln_readings : (n, 31) ln reflectance of the stripes, painted alike on one plate, n from 3
    slope : (31,) change of ln reflectance by ln amount, as the stain's optics have it
    coats : of each stripe; their scatters average
    noise_sd : of ln reflectance, common to all bands of one reading: it is no scatter of the hand

    Returns
    -------
    HandScatter : standard deviation of ln amount of one coat, with its interval of 90 %

    Raises
    ------
    ValueError : for fewer than three stripes, or a stain that does not show on its plate

    >>> import numpy as np
    >>> from stainbook.optics.hand import hand_scatter
    >>> slope, amounts = np.full(31, -0.3), np.array([[-0.1], [0.0], [0.1], [0.05]])
    >>> round(hand_scatter(-0.5 + amounts * slope, slope).sd, 3)
    0.084
    """
    from scipy.stats import chi2

    n, weight = len(ln_readings), float(slope @ slope)
    if n < FEWEST or np.sqrt(weight / slope.size) < noise_sd:
        raise ValueError(
            say(
                "found {n} stripes that the stain changes too little, expected {least} or more that show it",
                n=n,
                least=FEWEST,
            )
        )
    amounts = (ln_readings - ln_readings.mean(axis=0)) @ slope / weight
    noise = noise_sd * abs(float(slope.sum())) / weight
    seen = float(amounts @ amounts) / (n - 1)
    low, high = ((n - 1) * seen / chi2.ppf(q, n - 1) for q in (0.95, 0.05))
    sd, low, high = (float(np.sqrt(max(value - noise**2, 0.0) * coats)) for value in (seen, low, high))
    return HandScatter(sd, low, high, amounts)
