"""CIEDE2000 close to one colour: its quadratic form, and the radius of a doubt."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stainbook.colour.cielab import colours
from stainbook.colour.difference import stretch, weights_2000

Floats = NDArray[np.float64]


def delta_e_2000_metric(lab: ArrayLike, *, kL: float = 1.0, kC: float = 1.0, kH: float = 1.0) -> Floats:
    """The quadratic form G with ΔE00² ≈ dᵀ G d for a small step d of L*, a*, b*.

    Within 5 % up to steps of 2 ΔE00 for 95 of 100 colours; CIEDE2000 has no such form where the hue of the
    colour is 0° and chroma is high (R_T steps there, by less than 2e-4).

    Parameters
    ----------
    lab : (…, 3) float, L*, a*, b*
    kL, kC, kH : parametric weights

    Returns
    -------
    (…, 3, 3) float, symmetric

    Raises
    ------
    InputError : for another shape

    References
    ----------
    Sharma G, Wu W, Dalal EN. Color Res Appl 2005;30(1):21-30: the differences of equations 8-11 at d → 0.

    >>> from stainbook.colour import delta_e_2000_metric
    >>> delta_e_2000_metric([50.0, 0.0, 0.0]).round(2).tolist()
    [[1.0, 0.0, 0.0], [0.0, 2.25, 0.0], [0.0, 0.0, 1.0]]
    """
    L, a, b = np.moveaxis(colours(lab), -1, 0)
    scale = stretch(np.hypot(a, b))
    C = np.hypot(a * scale, b)
    grey = C == 0.0  # without hue any direction will do: ΔC² + ΔH² is the same
    safe = np.where(grey, 1.0, C)
    cos_h, sin_h = np.where(grey, 1.0, a * scale / safe), np.where(grey, 0.0, b / safe)
    S_L, S_C, S_H, R_T = weights_2000(L, C, cos_h, sin_h)
    zero = np.zeros_like(C)
    lightness = np.stack([1.0 / (kL * S_L), zero, zero], axis=-1)
    chroma = np.stack([zero, cos_h * scale, sin_h], axis=-1) / (kC * S_C)[..., np.newaxis]
    hue = np.stack([zero, -sin_h * scale, cos_h], axis=-1) / (kH * S_H)[..., np.newaxis]
    mixed = 0.5 * R_T[..., np.newaxis, np.newaxis] * (_outer(chroma, hue) + _outer(hue, chroma))
    return np.asarray(_outer(lightness, lightness) + _outer(chroma, chroma) + _outer(hue, hue) + mixed)


def delta_e_2000_radius(lab: ArrayLike, covariance: ArrayLike, *, probability: float = 0.95) -> Floats:
    """Radius in ΔE00 around a colour that holds a normally scattered colour with a given probability.

    The square of ΔE00 is a sum of three weighted chi-squares. One scaled chi-square of the same mean and
    variance stands for it, with Wilson and Hilferty's quantile.

    Parameters
    ----------
    lab : (…, 3) float, L*, a*, b*
    covariance : (…, 3, 3) float, of L*, a*, b*
    probability : float between 0 and 1; good to 4 % from 0.8 to 0.99

    Returns
    -------
    (…) float, ΔE00

    Raises
    ------
    InputError : when ``lab`` is of another shape

    References
    ----------
    Satterthwaite FE. Biometrics Bull 1946;2:110-4; Wilson EB, Hilferty MM. Proc Natl Acad Sci USA 1931;17:684-8 (both
    from memory).

    >>> import numpy as np
    >>> from stainbook.colour import delta_e_2000_radius
    >>> round(float(delta_e_2000_radius([72.0, 1.6, 17.0], 0.09 * np.eye(3))), 2)
    0.77
    """
    spread = delta_e_2000_metric(lab) @ np.asarray(covariance, dtype=np.float64)
    mean = np.trace(spread, axis1=-2, axis2=-1)
    square = np.einsum("...ij,...ji->...", spread, spread)
    safe_mean, safe_square = np.where(mean > 0, mean, 1.0), np.where(square > 0, square, 1.0)
    freedom = safe_mean**2 / safe_square
    z = NormalDist().inv_cdf(probability)
    quantile = (1.0 - 2.0 / (9.0 * freedom) + z * np.sqrt(2.0 / (9.0 * freedom))) ** 3  # of chi²/freedom
    return np.sqrt(np.where(mean > 0, mean * np.maximum(quantile, 0.0), 0.0))


def _outer(u: Floats, v: Floats) -> Floats:
    return u[..., :, np.newaxis] * v[..., np.newaxis, :]
