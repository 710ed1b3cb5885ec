"""Reflection where two media of different index meet, for single directions and for diffuse light.

The reflectance of a smooth interface by Fresnel's equations for unpolarised light, and its average
over the directions of Lambertian flux (Judd 1942; Saunderson 1942; facts table in
tests/published). Angles enter as cosines; a relative index is that of the far medium over that of
the near one.

References
----------
Saunderson JL. J Opt Soc Am 1942;32:727-36. Judd DB. J Res Natl Bur Stand 1942;29:329-32.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

import numpy as np

from stainbook.optics.two_by_two import Array

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(96)


def fresnel(cosine: Array | float, relative_index: float) -> Array:
    """Reflectance of unpolarised light at a smooth interface; 1 beyond the critical angle.

    Parameters
    ----------
    cosine : cosine of the angle of incidence in the near medium, any shape, in (0, 1]
    relative_index : index of the far medium over that of the near one

    References
    ----------
    Fresnel's equations, as textbooks of optics have them.

    >>> from stainbook.optics.interfaces import fresnel
    >>> round(float(fresnel(1.0, 1.5)), 3)
    0.04
    """
    c1 = np.asarray(cosine, dtype=float)
    sine2 = (1.0 - c1 * c1) / relative_index**2
    total = sine2 >= 1.0
    c2 = np.sqrt(np.where(total, 0.0, 1.0 - sine2))
    s = (c1 - relative_index * c2) / (c1 + relative_index * c2)
    p = (relative_index * c1 - c2) / (relative_index * c1 + c2)
    return np.where(total, 1.0, 0.5 * (s * s + p * p))


@lru_cache(maxsize=512)
def diffuse_reflectance(relative_index: float, low: float = 0.0, high: float = 1.0) -> float:
    """Reflectance of an interface for Lambertian flux between two cosines in the near medium.

    The integral is split at the critical angle, where the reflectance has a kink.

    Parameters
    ----------
    relative_index : index of the far medium over that of the near one
    low, high : cosines of the angles between which the flux comes in, 0 to 1

    References
    ----------
    Judd DB. J Res Natl Bur Stand 1942;29:329-32.

    >>> from stainbook.optics.interfaces import diffuse_reflectance
    >>> round(diffuse_reflectance(1.5), 3)
    0.092
    """
    edges = [low, high]
    if relative_index < 1.0:
        critical = float(np.sqrt(1.0 - relative_index**2))
        if low < critical < high:
            edges = [low, critical, high]
    total = 0.0
    for a, b in pairwise(edges):
        # the square root near the critical angle is smoothed by c = a + (b - a) t^2
        t = 0.5 * (_NODES + 1.0)
        c = a + (b - a) * t * t
        dc = (b - a) * 2.0 * t * 0.5 * _WEIGHTS
        total += float(np.sum(2.0 * c * fresnel(np.maximum(c, 1e-12), relative_index) * dc))
    return total / (high**2 - low**2)


def internal_reflectance(index: float) -> float:
    """Share of Lambertian flux in a medium of this refractive index that its flat face to air sends back.

    References
    ----------
    Saunderson JL. J Opt Soc Am 1942;32:727-36.

    >>> from stainbook.optics.interfaces import internal_reflectance
    >>> round(internal_reflectance(1.5), 3)
    0.596
    """
    return diffuse_reflectance(1.0 / index)


def outside_beam_reflectance(index: float, *, degrees: float = 8.0) -> float:
    """Reflectance of a smooth face to air for the instrument's beam, ``degrees`` from the normal.

    >>> from stainbook.optics.interfaces import outside_beam_reflectance
    >>> round(outside_beam_reflectance(1.5), 3)
    0.04
    """
    return float(fresnel(np.cos(np.radians(degrees)), index))
