"""A zone's spectrum from two shots, one of them through a filter: six channels instead of three.

Each shot's target tells its own response. The zone's reflectance, by its logarithm, is drawn from what such tissue may
be (mean and covariance of a family, and a smooth rest); both shots' values pull it where it must lie, and what
they leave open is its radius. Gauss-Newton in logarithms, where a gain is a shift.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from stainbook.colour import delta_e_2000_radius, xyz_to_lab
from stainbook.colour.cielab import lab_by_xyz

Floats = NDArray[np.float64]

NOISE = 0.008  # of a channel's value: what reading, print and curve leave, over six channels
GAIN = 0.02  # of ln: piece against target, alike in both shots
SHOT_GAIN = 0.03  # of ln: what differs between two shots that are held by hand
WIDER = 1.5  # times the family's covariance: it is made up
SMOOTH, SMOOTH_LENGTH = 0.03, 40.0  # of ln reflectance, nm: what no family has
ROUNDS = 4
DARKEST = 1e-4


class Seen(NamedTuple):
    """One shot of a zone: its RGB (3,), straightened, and the response (n, 3) with its covariances (3, n, n)."""

    rgb: Floats
    response: Floats
    covariance: Floats


@dataclass(frozen=True, slots=True, eq=False)
class LikelyTissue:
    """Mean and covariance of ln reflectance (n,) of what a zone may be made of."""

    mean: Floats
    covariance: Floats

    @classmethod
    def of(cls, curves: Floats, wavelengths: Floats) -> LikelyTissue:
        """From a family's reflectances (m, n) at wavelengths (n,) nm."""
        ln = np.log(np.maximum(curves, DARKEST))
        apart = wavelengths[:, np.newaxis] - wavelengths
        rest = SMOOTH**2 * np.exp(-0.5 * (apart / SMOOTH_LENGTH) ** 2)
        return cls(ln.mean(axis=0), WIDER * np.cov(ln.T) + rest)


class SixChannels(NamedTuple):
    """What two shots tell of a zone: reflectance (n,), L*, a*, b* (3,), the 95 % radius of what they leave open.

    ``strain`` is how far the six values lie from what was to be expected, in standard deviations.
    """

    reflectance: Floats
    lab: Floats
    radius: float
    strain: float


def by_two_shots(shots: tuple[Seen, Seen], likely: LikelyTissue, weights: Floats) -> SixChannels:
    """The spectrum and colour of a zone seen in two shots.

    weights : (n, 3) float, tristimulus weights of the light and observer asked for
    """
    values = np.log(np.maximum(np.concatenate([one.rgb for one in shots]), DARKEST))
    ln = likely.mean.copy()
    for _ in range(ROUNDS):
        seen, slopes, noise = _modelled(shots, ln)
        spread = slopes @ likely.covariance @ slopes.T + noise
        gain = np.linalg.solve(spread, slopes @ likely.covariance).T
        off = values - seen + slopes @ (ln - likely.mean)
        ln = likely.mean + gain @ off
    left: Floats = np.asarray(likely.covariance - gain @ slopes @ likely.covariance)
    reflectance = np.exp(ln)
    xyz, white = reflectance @ weights, weights.sum(axis=0)
    lab = xyz_to_lab(xyz, white)
    slope = lab_by_xyz(xyz, white) @ (weights * reflectance[:, np.newaxis]).T
    radius = float(delta_e_2000_radius(lab, slope @ left @ slope.T))
    strain = float(np.sqrt(off @ np.linalg.solve(spread, off) / len(off)))
    return SixChannels(reflectance, lab, radius, strain)


def _modelled(shots: tuple[Seen, Seen], ln: Floats) -> tuple[Floats, Floats, Floats]:
    """ln values (6,) of a curve, their slopes (6, n) by ln reflectance, and the covariance (6, 6) of what is added."""
    reflectance = np.exp(ln)
    seen, slopes, doubt = [], [], []
    for one in shots:
        value = np.maximum(reflectance @ one.response, DARKEST)
        seen.append(np.log(value))
        slopes.append((one.response * reflectance[:, np.newaxis]).T / value[:, np.newaxis])
        doubt.append(np.einsum("n,cnm,m->c", reflectance, one.covariance, reflectance) / value**2)
    noise = np.diag(np.concatenate(doubt) + NOISE**2) + GAIN**2
    noise[:3, :3] += SHOT_GAIN**2
    noise[3:, 3:] += SHOT_GAIN**2
    return np.concatenate(seen), np.vstack(slopes), noise
