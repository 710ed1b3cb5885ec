"""Likely reflectances about the one that is expected of a zone: what a prediction or an earlier reading leaves open."""

from __future__ import annotations

from itertools import product

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

# ln reflectance at two steps each: all bands alike, growing to the ends of the spectrum, bending in its middle
STEPS = (0.10, 0.08, 0.05)
DARKEST = 1e-3  # reflectance factor


def about(expected: ArrayLike) -> Floats:
    """Reflectances (125, n) about an expected one (n,), on the same even wavelengths."""
    ln = np.log(np.maximum(np.asarray(expected, dtype=np.float64), DARKEST))
    x = np.linspace(-1.0, 1.0, ln.size)
    shapes = np.array([np.ones_like(x), x, 1.5 * x**2 - 0.5]) * np.array(STEPS)[:, np.newaxis]
    return np.asarray(np.exp(ln + np.array(list(product((-2, -1, 0, 1, 2), repeat=3))) @ shapes))
