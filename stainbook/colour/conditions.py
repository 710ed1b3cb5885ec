"""The wavelengths on which optics work, and the way from a reading's own wavelengths to them and back."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stainbook.colour.spectra import checked_reflectance
from stainbook.colour.weights import checked_wavelengths, lagrange_matrix
from stainbook.errors import InputError
from stainbook.language import say

Floats = NDArray[np.float64]

WAVELENGTHS: Floats = np.arange(400.0, 700.1, 10.0)  # nm
WAVELENGTHS.setflags(write=False)


def resample(reflectance: ArrayLike, wavelengths: ArrayLike) -> Floats:
    """Reflectance of readings of 5, 10 or 20 nm on ``WAVELENGTHS``, 400-700 nm by 10 nm.

    Parameters
    ----------
    reflectance : (…, n) float, factor
    wavelengths : (n,) float, nm, even steps of 5, 10 or 20 that cover 400-700

    Returns
    -------
    (…, 31) float, factor; measured ordinates stay as they are, cubics through the four nearest give the others

    Raises
    ------
    InputError : for wavelengths that cannot be used, another shape, or reflectance in percent

    >>> from stainbook.colour import resample
    >>> by_20_nm = [0.30 + 0.02 * i for i in range(16)]
    >>> resample(by_20_nm, range(400, 701, 20))[:4].round(2).tolist()
    [0.3, 0.31, 0.32, 0.33]
    """
    nm = checked_wavelengths(wavelengths)
    return checked_reflectance(reflectance, nm.size) @ lagrange_matrix(nm, WAVELENGTHS).T


def apply_ratio(reflectance: ArrayLike, wavelengths: ArrayLike, ratio: ArrayLike) -> Floats:
    """A reading on its own wavelengths times a ratio after/before that is known on ``WAVELENGTHS``.

    The ratio is interpolated smoothly, and its end values continue outside 400-700 nm. So a ratio of 1
    changes nothing, and wider data keep their colour.

    Parameters
    ----------
    reflectance : (…, n) float, factor
    wavelengths : (n,) float, nm, even steps of 5, 10 or 20 that cover 400-700
    ratio : (…, 31) float, after/before on ``WAVELENGTHS``

    Returns
    -------
    (…, n) float, factor

    Raises
    ------
    InputError : for wavelengths that cannot be used, another shape, or reflectance in percent

    >>> from stainbook.colour import apply_ratio
    >>> grey = [0.5] * 31
    >>> nm = range(400, 701, 10)
    >>> float(apply_ratio(grey, nm, [0.8] * 31)[0])
    0.4
    """
    nm = checked_wavelengths(wavelengths)
    change = np.asarray(ratio, dtype=np.float64) - 1.0  # of the change, so that no change stays exactly none
    if change.ndim == 0 or change.shape[-1] != WAVELENGTHS.size:
        raise InputError(
            say(
                "a ratio of shape {shape}: expected (…, {n}), 400-700 nm by 10 nm",
                shape=change.shape,
                n=WAVELENGTHS.size,
            )
        )
    return checked_reflectance(reflectance, nm.size) * (1.0 + change @ lagrange_matrix(WAVELENGTHS, nm).T)
