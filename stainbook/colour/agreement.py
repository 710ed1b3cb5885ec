"""How well two instruments agree on shared samples, and the way from one's scale to the other's, with its doubt."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stainbook.colour.difference import delta_e_2000
from stainbook.language import say

Floats = NDArray[np.float64]

# Before any sample: scales of two instruments differ by a few units and a few percent; common practice.
OFFSET_SD = 4.0  # L*, a*, b*
SLOPE_SD = 0.05
RESIDUAL_SD = (0.6, 0.4, 0.5)  # L*, a*, b* of one sample about the line; as differences of dental instruments go
RESIDUAL_ROWS = 4  # how many samples the usual residual is worth beside those that were read
FEWEST = 3


@dataclass(frozen=True, slots=True, eq=False)
class Conversion:
    """Second = centre + offset + slope (first - centre) in each of L*, a*, b*.

    ``covariance`` (3, 2, 2) of offset and slope by axis, ``residual`` (3,) standard deviation of one sample, known
    from ``freedom`` degrees: a new sample is spread as Student's t of so many.
    """

    centre: Floats
    offset: Floats
    slope: Floats
    covariance: Floats
    residual: Floats
    freedom: float = np.inf

    @property
    def wide(self) -> float:
        """Standard deviations that hold a new sample in 95 of 100 cases: 1.96 where the residual is known."""
        from scipy.stats import t

        return float(t.ppf(0.975, self.freedom))

    def apply(self, lab: ArrayLike) -> tuple[Floats, Floats]:
        """First instrument's L*, a*, b* (…, 3) on the second's scale, and standard deviations (…, 3) of that."""
        step = np.asarray(lab, dtype=np.float64) - self.centre
        there = self.centre + self.offset + self.slope * step
        c = self.covariance
        variance = c[:, 0, 0] + 2.0 * step * c[:, 0, 1] + step**2 * c[:, 1, 1] + self.residual**2
        return there, np.sqrt(variance)


@dataclass(frozen=True, slots=True, eq=False)
class Agreement:
    """Second minus first over n samples: mean (3,), its standard error (3,), scatter (3,), ΔE00 of each (n,).

    ``converted`` (n,) is each sample's ΔE00 after a conversion that was made without it.
    """

    mean: Floats
    error: Floats
    scatter: Floats
    dE00: Floats
    converted: Floats
    conversion: Conversion


def agreement(first: ArrayLike, second: ArrayLike) -> Agreement:
    """How far two instruments differ on the same samples, and the conversion from the first to the second.

    Parameters
    ----------
    first, second : (n, 3) float, L*, a*, b* of the same samples in the same order, n from 3

    Returns
    -------
    Agreement : mean, standard error and scatter (3,) of second minus first, ΔE00 (n,), and the `Conversion`

    Raises
    ------
    ValueError : for fewer than three samples, or arrays of different shapes

    References
    ----------
    Bland JM, Altman DG. Lancet 1986;327:307-310, for mean and scatter of differences; the conversion is our own
    Bayesian linear regression with a prior of equal scales.

    >>> from stainbook.colour.agreement import agreement
    >>> first = [[70, 1, 15], [74, 0, 12], [66, 3, 18], [60, 8, 14]]
    >>> second = [[L + 1, a, b] for L, a, b in first]
    >>> agreement(first, second).mean.tolist()
    [1.0, 0.0, 0.0]
    >>> agreement(first, second).dE00.round(1).tolist()
    [0.8, 0.7, 0.8, 0.9]
    """
    one, other = np.asarray(first, dtype=np.float64), np.asarray(second, dtype=np.float64)
    if one.shape != other.shape or one.ndim != 2 or one.shape[1] != 3 or len(one) < FEWEST:
        raise ValueError(
            say(
                "found arrays of shape {one} and {other}, expected two of (n, 3), n from {fewest}",
                one=one.shape,
                other=other.shape,
                fewest=FEWEST,
            )
        )
    difference, n = other - one, len(one)
    scatter = difference.std(axis=0, ddof=1)
    return Agreement(
        mean=difference.mean(axis=0),
        error=scatter / np.sqrt(n),
        scatter=scatter,
        dE00=np.asarray(delta_e_2000(one, other)),
        converted=_left_out(one, other),
        conversion=conversion(one, other),
    )


def conversion(first: Floats, second: Floats) -> Conversion:
    """The likeliest straight line in each of L*, a*, b* from samples (n, 3) of both instruments, n from 2."""
    centre = first.mean(axis=0)
    step, difference = first - centre, second - first
    usual = np.square(RESIDUAL_SD)
    residual = usual
    for _ in range(3):  # the scatter about the line and the line itself settle in a few rounds
        parts = [_line(step[:, k], difference[:, k], residual[k]) for k in range(3)]
        about = np.column_stack(
            [difference[:, k] - mean[0] - mean[1] * step[:, k] for k, (mean, _) in enumerate(parts)]
        )
        residual = (RESIDUAL_ROWS * usual + (about**2).sum(axis=0)) / (RESIDUAL_ROWS + max(len(first) - 2, 0))
    means = np.array([mean for mean, _ in parts])
    return Conversion(
        centre,
        means[:, 0],
        1.0 + means[:, 1],
        np.array([cov for _, cov in parts]),
        np.asarray(np.sqrt(residual)),
        freedom=RESIDUAL_ROWS + max(len(first) - 2, 0),
    )


def _line(step: Floats, difference: Floats, variance: float) -> tuple[Floats, Floats]:
    """Posterior mean (2,) and covariance (2, 2) of offset and slope - 1 of one axis."""
    design = np.column_stack([np.ones_like(step), step])
    precision = design.T @ design / variance + np.diag([OFFSET_SD**-2, SLOPE_SD**-2])
    covariance = np.linalg.inv(precision)
    return np.asarray(covariance @ design.T @ difference / variance), np.asarray(covariance, dtype=np.float64)


def _left_out(first: Floats, second: Floats) -> Floats:
    left = []
    for i in range(len(first)):
        rest = np.arange(len(first)) != i
        there, _ = conversion(first[rest], second[rest]).apply(first[i])
        left.append(float(delta_e_2000(there, second[i])))
    return np.array(left)
