"""A zone's spectrum from one shot or two, the second through a filter: three channels or six.

Each shot's target tells its own response. The zone's reflectance, by its logarithm, is drawn from what such tissue may
be: several models of it, each a mean and covariance of its curves and a smooth rest. The shots' values pull it where it
must lie; what they leave open is its radius. Each model counts by how well it expected these values, and is then taken
anew by its curves of about the colour that was found. Gauss-Newton in logarithms, where a gain is a shift.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from stainbook.colour import delta_e_2000_radius, xyz_to_lab
from stainbook.colour.cielab import lab_by_xyz

Floats = NDArray[np.float64]

NOISE = 0.005  # of a channel's value: what reading, print and curve leave
GAIN = 0.015  # of ln: piece against target, alike in both shots
SHOT_GAIN = 0.03  # of ln: what differs between two shots that are held by hand
SMOOTH, SMOOTH_LENGTH = 0.02, 40.0  # of ln reflectance, nm: what no family has
ROUNDS = 4
# A model's curves are no bell: once the colour is about known, those near it tell more than all (ΔE*ab), and what of
# them lies far off keeps a small share; where fewer than so many would count, all do
NEAR, FAR_SHARE, FEWEST = 6.0, 0.02, 12
DARKEST = 1e-4


class Seen(NamedTuple):
    """One shot of a zone: its RGB (3,), straightened, and the response (n, 3) with its covariances (3, n, n)."""

    rgb: Floats
    response: Floats
    covariance: Floats


@dataclass(frozen=True, slots=True, eq=False)
class LikelyTissue:
    """Mean and covariance of ln reflectance (n,) of what a zone may be made of, by one model.

    ``curves`` (m, n) are the reflectances that it is made of, ``rest`` (n, n) is the covariance that none of them has.
    """

    mean: Floats
    covariance: Floats
    curves: Floats
    rest: Floats

    @classmethod
    def of(cls, curves: Floats, wavelengths: Floats) -> LikelyTissue:
        """From a family's reflectances (m, n) at wavelengths (n,) nm."""
        apart = wavelengths[:, np.newaxis] - wavelengths
        rest = SMOOTH**2 * np.exp(-0.5 * (apart / SMOOTH_LENGTH) ** 2)
        return cls._weighted(curves, rest, np.full(len(curves), 1.0 / len(curves)))

    @classmethod
    def _weighted(cls, curves: Floats, rest: Floats, share: Floats) -> LikelyTissue:
        ln = np.log(np.maximum(curves, DARKEST))
        mean = share @ ln
        away = ln - mean
        spread = (away * share[:, np.newaxis]).T @ away / (1.0 - float(share @ share))
        return cls(mean, spread + rest, curves, rest)

    def near(self, lab: Floats, weights: Floats) -> LikelyTissue:
        """The model by those of its curves that have about a colour (3,); as it is where they are few.

        weights : (n, 3) float, tristimulus weights
        """
        colours = xyz_to_lab(self.curves @ weights, weights.sum(axis=0))
        share = FAR_SHARE + np.exp(-0.5 * np.square(np.linalg.norm(colours - lab, axis=1) / NEAR))
        share /= share.sum()
        return self if float(share @ share) * FEWEST > 1.0 else self._weighted(self.curves, self.rest, share)


class ZoneSpectrum(NamedTuple):
    """What shots tell of a zone: reflectance (n,), L*, a*, b* (3,), the 95 % radius of what they leave open.

    ``strain`` is how far the values lie from what the best model expected, in standard deviations.
    """

    reflectance: Floats
    lab: Floats
    radius: float
    strain: float


class _ByModel(NamedTuple):
    """A zone by one model: reflectance, L*, a*, b* with covariance, ln of how well it expected the values, strain."""

    reflectance: Floats
    lab: Floats
    covariance: Floats
    evidence: float
    strain: float


def zone_spectrum(shots: Sequence[Seen], models: Sequence[LikelyTissue], weights: Floats) -> ZoneSpectrum:
    """The spectrum and colour of a zone seen in one shot or more.

    models : what it may be made of, each as likely as the others before it is seen
    weights : (n, 3) float, tristimulus weights of the light and observer asked for
    """
    first = _averaged([_by_model(shots, model, weights) for model in models], weights)
    return _averaged([_by_model(shots, model.near(first.lab, weights), weights) for model in models], weights)


def _averaged(found: Sequence[_ByModel], weights: Floats) -> ZoneSpectrum:
    """What several models say, each by how well it expected the values."""
    evidence = np.array([one.evidence for one in found])
    chance = np.exp(evidence - evidence.max())
    chance /= chance.sum()
    reflectance: Floats = np.asarray(chance @ np.array([one.reflectance for one in found]))
    lab = xyz_to_lab(reflectance @ weights, weights.sum(axis=0))
    away = np.array([one.lab for one in found]) - lab
    spread = np.array([one.covariance for one in found]) + away[:, :, np.newaxis] * away[:, np.newaxis]
    radius = float(delta_e_2000_radius(lab, np.tensordot(chance, spread, axes=1)))
    return ZoneSpectrum(reflectance, lab, radius, min(one.strain for one in found))


def _by_model(shots: Sequence[Seen], likely: LikelyTissue, weights: Floats) -> _ByModel:
    values = np.log(np.maximum(np.concatenate([one.rgb for one in shots]), DARKEST))
    ln = likely.mean.copy()
    for _ in range(ROUNDS):
        seen, slopes, noise = _modelled(shots, ln)
        spread = slopes @ likely.covariance @ slopes.T + noise
        gain = np.linalg.solve(spread, slopes @ likely.covariance).T
        off = values - seen + slopes @ (ln - likely.mean)
        ln = likely.mean + gain @ off
    left = likely.covariance - gain @ slopes @ likely.covariance
    reflectance = np.exp(ln)
    xyz, white = reflectance @ weights, weights.sum(axis=0)
    slope = lab_by_xyz(xyz, white) @ (weights * reflectance[:, np.newaxis]).T
    miss = float(off @ np.linalg.solve(spread, off))
    evidence = -0.5 * (miss + float(np.linalg.slogdet(spread)[1]))
    return _ByModel(reflectance, xyz_to_lab(xyz, white), slope @ left @ slope.T, evidence, (miss / len(off)) ** 0.5)


def _modelled(shots: Sequence[Seen], ln: Floats) -> tuple[Floats, Floats, Floats]:
    """ln values (c,) of a curve, their slopes (c, n) by ln reflectance, and the covariance (c, c) of what is added."""
    reflectance = np.exp(ln)
    seen, slopes, doubt = [], [], []
    for one in shots:
        value = np.maximum(reflectance @ one.response, DARKEST)
        seen.append(np.log(value))
        slopes.append((one.response * reflectance[:, np.newaxis]).T / value[:, np.newaxis])
        doubt.append(np.einsum("n,cnm,m->c", reflectance, one.covariance, reflectance) / value**2)
    noise = np.diag(np.concatenate(doubt) + NOISE**2) + GAIN**2
    noise += SHOT_GAIN**2 * np.kron(np.eye(len(shots)), np.ones((3, 3)))
    return np.concatenate(seen), np.vstack(slopes), noise
