"""What reflectances are likely before a colour is known: smooth curves, and families of tooth-like and gum-like ones.

A prior is a mean and a covariance of the logit of reflectance over ``CEILING``, so that every
draw is positive and none is much above the perfect diffuser. The curves of the families are our
own simple forms, not measured ones; they are laid out on a fixed lattice, so a prior is the same
on every machine.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from stainbook.errors import UnknownNameError
from stainbook.language import say

Floats = NDArray[np.float64]

CEILING = 1.05  # no ceramic and no tissue reflects more, and white at L* = 100 stays within
FAMILY_SIZE = 600
FLOOR = 0.02  # curves of a family that fall below are left out, and those that pass 1

# Scales of the logit, chosen on simulated ceramics, teeth and gums for a small error after stain
# while the 95 % radius holds at least 95 % (DEVELOPERS.md):
LEVEL, SLOPE = 3.0, 1.0  # of the general prior: any lightness, any tilt
WIGGLE = {None: (0.4, 60.0), "tooth": (0.2, 60.0), "gingiva": (0.2, 50.0)}  # (scale, length in nm)
SPREAD = {None: 2.0, "tooth": 1.0, "gingiva": 4.0}  # of the family's own covariance; the general prior takes gum's


def logit(reflectance: Floats) -> Floats:
    """ln(r / (CEILING - r)) of a reflectance factor r of any shape, between 0 and `CEILING`."""
    return np.asarray(np.log(reflectance / (CEILING - reflectance)))


def inverse_logit(z: Floats) -> Floats:
    """The reflectance factor back from its logit, of any shape."""
    return CEILING / (1.0 + np.exp(-z))


@lru_cache(maxsize=32)
def prior(tissue: str | None, wavelengths: tuple[float, ...]) -> tuple[Floats, Floats]:
    """Mean (n,) and covariance (n, n) of the logit of reflectance at the wavelengths in nm.

    Raises
    ------
    UnknownNameError : for a tissue other than ``tooth``, ``gingiva`` or None
    """
    if tissue not in WIGGLE:
        raise UnknownNameError(say("tissue"), str(tissue), [str(name) for name in WIGGLE if name])
    nm = np.asarray(wavelengths)
    scale, length = WIGGLE[tissue]
    smooth = scale**2 * np.exp(-0.5 * ((nm[:, np.newaxis] - nm) / length) ** 2) + 1e-6 * np.eye(nm.size)
    curves = _tooth_family(nm) if tissue == "tooth" else _gum_family(nm)
    z = logit(curves[(curves.min(axis=1) > FLOOR) & (curves.max(axis=1) < 1.0)])
    spread = smooth + SPREAD[tissue] * np.cov(z.T)
    if tissue is None:  # about any level and tilt; gum's directions are let in, so that the doubt holds for it too
        tilt = (nm - 550.0) / 150.0
        return np.zeros(nm.size), spread + LEVEL**2 + SLOPE**2 * np.outer(tilt, tilt)
    return z.mean(axis=0), spread


def _tooth_family(nm: Floats) -> Floats:
    """A floor, one broad rise from blue to red, and a tilt."""
    floor, rise, at, width, tilt = _lattice((0.05, 0.5), (0.0, 0.6), (420, 520), (20, 80), (-3e-4, 4e-4))
    return floor + rise * _step(nm, at, width) + tilt * (nm - 550.0)


def _gum_family(nm: Floats) -> Floats:
    """A floor, a small rise in the blue, a large one in the red, the bands of blood, and a broad dip in the green."""
    floor, blue, blue_at, blue_width, red, red_at, red_width, blood, q_bands, soret, dip, dip_at, dip_width = _lattice(
        (0.05, 0.45), (0.0, 0.2), (420, 480), (15, 60), (0.0, 0.45), (560, 620), (10, 35),
        (0.0, 1.0), (0.0, 0.1), (0.0, 0.1), (0.0, 0.06), (500, 560), (25, 50),
    )  # fmt: skip
    rises = floor + blue * _step(nm, blue_at, blue_width) + red * _step(nm, red_at, red_width)
    bands = q_bands * (_band(nm, 542.0, 14.0) + _band(nm, 577.0, 10.0)) + soret * _band(nm, 415.0, 22.0)
    return rises - blood * bands - dip * _band(nm, dip_at, dip_width)


def _lattice(*ranges: tuple[float, float]) -> list[Floats]:
    """Evenly spread parameters, one (FAMILY_SIZE, 1) column a range: fractional parts of multiples of prime roots."""
    primes = np.array([2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41], dtype=np.float64)
    places = np.arange(1.0, FAMILY_SIZE + 1.0)[:, np.newaxis]
    return [low + (high - low) * (places * np.sqrt(p) % 1.0) for (low, high), p in zip(ranges, primes, strict=False)]


def _step(nm: Floats, at: Floats, width: Floats) -> Floats:
    return 1.0 / (1.0 + np.exp(-(nm - at) / width))


def _band(nm: Floats, at: Floats | float, width: Floats | float) -> Floats:
    return np.asarray(np.exp(-(((nm - at) / width) ** 2)))
