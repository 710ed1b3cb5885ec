"""A smooth reflectance from L*, a*, b* alone, and what stays unknown about it.

Reflectance has a prior (``priors``); the colour is three exact conditions on it. The likeliest
reflectance under them is found by Gauss-Newton steps, and what is left of the prior's covariance
lies in the metameric directions: it changes the spectrum and, to first order, not the colour.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stainbook.colour.cielab import colours, lab_to_xyz
from stainbook.colour.conditions import WAVELENGTHS
from stainbook.colour.priors import CEILING, inverse_logit, prior
from stainbook.colour.weights import tristimulus_weights
from stainbook.errors import InputError
from stainbook.language import say

Floats = NDArray[np.float64]

MOST_STEPS = 60  # eight or so are usual
LONGEST_STEP = 2.0  # in the logit: keeps the first steps of strong colours in bounds
RIDGE = 1e-14  # share of the trace
EXACT = 1e-9  # of X, Y, Z on the scale Y = 100: far below 1e-6 ΔE00


@dataclass(frozen=True, slots=True, eq=False)
class Recovered:
    """Reflectances that have the given colours, and the covariance of what the colours leave open."""

    wavelengths: Floats  # (n,) nm
    reflectance: Floats  # (…, n) factor
    covariance: Floats  # (…, n, n)


def recover_reflectance(
    lab: ArrayLike,
    *,
    illuminant: str,
    observer: int,
    tissue: str | None = None,
    wavelengths: ArrayLike = WAVELENGTHS,
) -> Recovered:
    """The likeliest smooth reflectance that has exactly a given colour, with its posterior covariance.

    The method is our own: a normal prior of the logit of reflectance, under three exact conditions.

    Parameters
    ----------
    lab : (…, 3) float, L*, a*, b*
    illuminant, observer : the light and observer (2 or 10, degrees) of ``lab``
    tissue : ``tooth`` or ``gingiva`` for a prior of such curves; None for any smooth curve, with a wider doubt
    wavelengths : (n,) float, nm, of the result

    Returns
    -------
    Recovered : reflectance (…, n) above 0 and below 1.05, covariance (…, n, n)

    Raises
    ------
    InputError : for a colour that no such surface can have under that light, or that is not a number
    UnknownNameError : for an unknown illuminant, observer or tissue

    >>> from stainbook.colour import recover_reflectance
    >>> curve = recover_reflectance([72.0, 1.6, 17.0], illuminant="D65", observer=10, tissue="tooth")
    >>> curve.reflectance[[0, 15, 30]].round(2).tolist()  # at 400, 550 and 700 nm
    [0.24, 0.45, 0.52]
    """
    nm = np.asarray(wavelengths, dtype=np.float64)
    weights = tristimulus_weights(nm, illuminant=illuminant, observer=observer)
    given = colours(lab)
    flat = given.reshape(-1, 3)
    mean, spread = prior(tissue, tuple(nm.tolist()))
    with np.errstate(over="ignore"):  # of exp on the way to a colour that cannot be had, which is refused below
        z = _most_likely(lab_to_xyz(flat, weights.sum(axis=0)), weights, mean, spread)
        reflectance = inverse_logit(z)
    _refuse_impossible(flat, reflectance @ weights - lab_to_xyz(flat, weights.sum(axis=0)))
    slope = _slope(reflectance)
    covariance = _left_open(weights.T * slope[:, np.newaxis, :], spread)
    covariance *= slope[:, :, np.newaxis] * slope[:, np.newaxis, :]
    shape = given.shape[:-1]
    return Recovered(nm, reflectance.reshape(*shape, nm.size), covariance.reshape(*shape, nm.size, nm.size))


def _most_likely(xyz: Floats, weights: Floats, mean: Floats, spread: Floats) -> Floats:
    """The logit (N, n) nearest to the prior's mean that gives (N, 3) tristimulus values."""
    z = np.broadcast_to(mean, (xyz.shape[0], mean.size)).copy()
    for _ in range(MOST_STEPS):
        reflectance = inverse_logit(z)
        miss = xyz - reflectance @ weights
        by_z = weights.T * _slope(reflectance)[:, np.newaxis, :]  # (N, 3, n): d XYZ / d z
        pulled = by_z @ spread
        wanted = miss + np.einsum("kij,kj->ki", by_z, z - mean)
        step = mean + np.einsum("kij,ki->kj", pulled, _solve(pulled @ by_z.mT, wanted)) - z
        length = np.abs(step).max(axis=1, keepdims=True, initial=1e-300)
        z = z + step * np.minimum(1.0, LONGEST_STEP / length)
        if length.max(initial=0.0) < 1e-11:
            break
    return z


def _left_open(by_z: Floats, spread: Floats) -> Floats:
    """What of the prior's covariance (n, n) conditions with derivative (N, 3, n) leave."""
    pulled = by_z @ spread
    return spread - pulled.mT @ np.linalg.solve(pulled @ by_z.mT, pulled)


def _slope(reflectance: Floats) -> Floats:
    """d reflectance / d logit."""
    return reflectance * (1.0 - reflectance / CEILING)


def _solve(matrix: Floats, right: Floats) -> Floats:
    """Solution (N, 3) of (N, 3, 3) equations; the ridge matters only where a colour cannot be had and slopes vanish."""
    ridge = RIDGE * np.trace(matrix, axis1=-2, axis2=-1) + np.finfo(np.float64).tiny
    steadied = matrix + ridge[:, np.newaxis, np.newaxis] * np.eye(3)
    return np.asarray(np.linalg.solve(steadied, right[..., np.newaxis])[..., 0])


def _refuse_impossible(lab: Floats, miss: Floats) -> None:
    bad = ~np.all(np.abs(miss) < EXACT, axis=-1)
    if bad.any():
        shown = ", ".join(f"{value:g}" for value in lab[bad][0])
        raise InputError(
            say(
                "L*, a*, b* = {colour}: no surface has this colour under that light; check the illuminant and "
                "the scale",
                colour=shown,
            )
        )
