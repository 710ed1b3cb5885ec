"""CIEDE2000 colour difference, vectorised.

Rows run through in blocks that stay in the processor's cache, and almost all of them without an
angle: the hue difference comes from the cross product of the two (a', b') vectors, the mean hue
from their bisector, its multiples from the double-angle formulas. Rows whose hues are nearly
opposite, or one of which has no hue, take the textbook's way, since there the bisector is ill
conditioned and Sharma's rules decide.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stainbook.errors import InputError
from stainbook.language import say

Floats = NDArray[np.float64]

BLOCK = 8192  # rows at a time: temporaries of 64 kB are recycled by malloc and stay in the second-level cache
POW25_7 = 25.0**7
OPPOSITE = 1e-3  # 1 + cos(Δh) below this (Δh within 2.6° of 180°) goes the textbook's way,
NO_CHROMA = 1e-100  # C1' C2' (1 + cos Δh) below this likewise, before it underflows,
AT_ZERO = 1e-12  # and so does a mean hue at 0°, where R_T has a step of its own


class DeltaE2000(NamedTuple):
    """ΔE00 and its unweighted parts, sample minus target."""

    dE00: Floats
    dL: Floats
    dC: Floats
    dH: Floats


def delta_e_2000(lab_a: ArrayLike, lab_b: ArrayLike, *, kL: float = 1.0, kC: float = 1.0, kH: float = 1.0) -> Floats:
    """CIEDE2000 colour difference between two sets of CIELAB colours.

    Parameters
    ----------
    lab_a, lab_b : (…, 3) float, L*, a*, b*; they broadcast against each other
    kL, kC, kH : parametric weights of lightness, chroma, hue

    Returns
    -------
    (…) float, ΔE00; NaN where a colour holds NaN

    Raises
    ------
    InputError : when a last axis is not 3 long

    References
    ----------
    Sharma G, Wu W, Dalal EN. Color Res Appl 2005;30(1):21-30; ISO/CIE 11664-6.

    Examples
    --------
    >>> round(float(delta_e_2000((50, 2.6772, -79.7751), (50, 0, -82.7485))), 4)
    2.0425
    """
    return _blockwise(lab_a, lab_b, (kL, kC, kH), results=1)[0]


def delta_e_2000_parts(
    sample: ArrayLike, target: ArrayLike, *, kL: float = 1.0, kC: float = 1.0, kH: float = 1.0
) -> DeltaE2000:
    """CIEDE2000 with its ΔL′, ΔC′, ΔH′, each signed as sample minus target and not weighted.

    Parameters
    ----------
    sample, target : (…, 3) float, L*, a*, b*; they broadcast against each other
    kL, kC, kH : parametric weights of lightness, chroma, hue, for ΔE00 alone

    Returns
    -------
    DeltaE2000 of (…) float; a positive ``dH`` turns counter-clockwise, from red towards yellow

    Raises
    ------
    InputError : when a last axis is not 3 long

    References
    ----------
    Sharma G, Wu W, Dalal EN. Color Res Appl 2005;30(1):21-30; ISO/CIE 11664-6.

    >>> from stainbook.colour import delta_e_2000_parts
    >>> parts = delta_e_2000_parts([70.0, 1.0, 15.0], [72.0, 1.5, 17.0])
    >>> [round(float(one), 1) for one in (parts.dE00, parts.dL, parts.dC, parts.dH)]
    [2.0, -2.0, -2.1, 0.5]
    """
    return DeltaE2000(*_blockwise(target, sample, (kL, kC, kH), results=4))


def _blockwise(first: ArrayLike, second: ArrayLike, k: tuple[float, float, float], results: int) -> list[Floats]:
    """The first so many of ΔE00, ΔL′, ΔC′, ΔH′ (second minus first), each of the broadcast shape."""
    a, b, shape = _pairs(first, second)
    out = np.empty((results, a.shape[0]))
    with np.errstate(invalid="ignore", divide="ignore"):
        for start in range(0, a.shape[0], BLOCK):
            rows = slice(start, start + BLOCK)
            for kept, part in zip(out, _block(a[rows].T.copy(), b[rows].T.copy(), k), strict=False):
                kept[rows] = part
    return [part.reshape(shape)[()] for part in out]


def _pairs(first: ArrayLike, second: ArrayLike) -> tuple[Floats, Floats, tuple[int, ...]]:
    """Both sets as (N, 3), and the shape of the result."""
    a, b = np.asarray(first, dtype=np.float64), np.asarray(second, dtype=np.float64)
    for lab in (a, b):
        if lab.ndim == 0 or lab.shape[-1] != 3:
            raise InputError(say("colours of shape {shape}: expected (…, 3) for L*, a*, b*", shape=lab.shape))
    try:
        a, b = np.broadcast_arrays(a, b)
    except ValueError:
        raise InputError(
            say(
                "colours of shapes {one} and {other} do not broadcast against each other",
                one=a.shape,
                other=b.shape,
            )
        ) from None
    return a.reshape(-1, 3), b.reshape(-1, 3), a.shape[:-1]


def _block(first: Floats, second: Floats, k: tuple[float, float, float]) -> tuple[Floats, Floats, Floats, Floats]:
    """ΔE00, ΔL′, ΔC′, ΔH′ of (3, n) columns, second minus first."""
    (L1, a1, b1), (L2, a2, b2) = first, second
    bb1, bb2 = b1 * b1, b2 * b2
    scale = stretch(0.5 * (np.sqrt(a1 * a1 + bb1) + np.sqrt(a2 * a2 + bb2)))
    a1, a2 = a1 * scale, a2 * scale
    C1, C2 = np.sqrt(a1 * a1 + bb1), np.sqrt(a2 * a2 + bb2)
    C1C2 = C1 * C2
    along = C1C2 + a1 * a2 + b1 * b2  # C1' C2' (1 + cos Δh)
    dL, dC = L2 - L1, C2 - C1
    dH = (a1 * b2 - a2 * b1) / np.sqrt(0.5 * along)
    norm = 1.0 / np.sqrt(2.0 * C1C2 * along)
    cos_h, sin_h = (a1 * C2 + a2 * C1) * norm, (b1 * C2 + b2 * C1) * norm

    awkward = np.flatnonzero((along <= np.maximum(OPPOSITE * C1C2, NO_CHROMA)) | (np.abs(sin_h) < AT_ZERO))
    if awkward.size:
        dH[awkward], cos_h[awkward], sin_h[awkward] = _textbook_hues(first[1:, awkward], second[1:, awkward])

    S_L, S_C, S_H, R_T = weights_2000(0.5 * (L1 + L2), 0.5 * (C1 + C2), cos_h, sin_h)
    tL, tC, tH = dL / (k[0] * S_L), dC / (k[1] * S_C), dH / (k[2] * S_H)
    dE = np.sqrt(tL * tL + tC * tC + tH * (tH + R_T * tC))
    return dE, dL, dC, dH


def _pow7(C: Floats) -> Floats:
    square = C * C
    return square * square * square * C


def stretch(C_mean: Floats) -> Floats:
    """The factor 1 + G on a*, of a mean chroma C* of any shape: most near the neutral axis."""
    C7 = _pow7(C_mean)
    return 1.5 - 0.5 * np.sqrt(C7 / (C7 + POW25_7))


def _textbook_hues(ab1: Floats, ab2: Floats) -> tuple[Floats, Floats, Floats]:
    """ΔH′, cos and sin of the mean hue of (2, n) columns a*, b*, by the rules of Sharma et al., equations 2 to 14."""
    (a1, b1), (a2, b2) = ab1, ab2
    C7 = (0.5 * (np.hypot(a1, b1) + np.hypot(a2, b2))) ** 7
    scale = 1.0 + 0.5 * (1.0 - np.sqrt(C7 / (C7 + POW25_7)))
    a1, a2 = a1 * scale, a2 * scale
    h1, h2 = np.degrees(np.arctan2(b1, a1)) % 360.0, np.degrees(np.arctan2(b2, a2)) % 360.0
    C1C2 = np.hypot(a1, b1) * np.hypot(a2, b2)
    dh, total = h2 - h1, h1 + h2
    far = np.abs(dh) > 180.0
    mean = np.where(far, np.where(total < 360.0, total + 360.0, total - 360.0), total) / 2.0
    dh = np.where(far, dh - np.sign(dh) * 360.0, dh)
    dH = 2.0 * np.sqrt(C1C2) * np.sin(np.radians(0.5 * dh))
    h_mean = np.radians(np.where(C1C2 == 0.0, total, mean))
    return dH, np.cos(h_mean), np.sin(h_mean)


def weights_2000(L_mean: Floats, C_mean: Floats, cos_h: Floats, sin_h: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """S_L, S_C, S_H and R_T at mean L′, mean C′ and the cosine and sine of the mean hue, all of one shape."""
    off = (L_mean - 50.0) ** 2
    S_L = 1.0 + 0.015 * off / np.sqrt(20.0 + off)
    S_C = 1.0 + 0.045 * C_mean
    S_H = 1.0 + 0.015 * C_mean * _T(cos_h, sin_h)
    C7 = _pow7(C_mean)
    R_C = 2.0 * np.sqrt(C7 / (C7 + POW25_7))
    first_quarter = (sin_h >= 0.0) & (cos_h > 0.0)
    # The paper counts h - 275° from 0°: there is no wrap to +85°, and what is left in the first quarter is below 1e-23.
    R_T = np.where(first_quarter, 0.0, -np.sin(_two_delta_theta(cos_h, sin_h)) * R_C)
    return S_L, S_C, S_H, R_T


_C30, _S30 = math.cos(math.radians(30.0)), math.sin(math.radians(30.0))
_C6, _S6 = math.cos(math.radians(6.0)), math.sin(math.radians(6.0))
_C63, _S63 = math.cos(math.radians(63.0)), math.sin(math.radians(63.0))
_C275, _S275 = math.cos(math.radians(275.0)), math.sin(math.radians(275.0))


def _T(c: Floats, s: Floats) -> Floats:
    """1 - 0.17 cos(h-30°) + 0.24 cos 2h + 0.32 cos(3h+6°) - 0.20 cos(4h-63°) from c = cos h, s = sin h."""
    c2, s2 = 2.0 * c * c - 1.0, 2.0 * s * c
    c3, s3 = 2.0 * c * c2 - c, 2.0 * c * s2 - s
    c4, s4 = 2.0 * c2 * c2 - 1.0, 2.0 * s2 * c2
    return (
        1.0 - 0.17 * (_C30 * c + _S30 * s) + 0.24 * c2 + 0.32 * (_C6 * c3 - _S6 * s3) - 0.20 * (_C63 * c4 + _S63 * s4)
    )


def _two_delta_theta(cos_h: Floats, sin_h: Floats) -> Floats:
    """2 Δθ = 60° exp(-((h-275°)/25°)²) in radians, where h is not in [0°, 90°)."""
    away = np.arctan2(sin_h * _C275 - cos_h * _S275, cos_h * _C275 + sin_h * _S275)
    return math.radians(60.0) * np.exp(-((away / math.radians(25.0)) ** 2))
