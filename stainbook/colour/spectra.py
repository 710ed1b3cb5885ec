"""Reflectance spectra to tristimulus values and CIELAB, and the derivative of that."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stainbook.colour.cielab import lab_by_xyz, xyz_to_lab
from stainbook.colour.weights import tristimulus_weights
from stainbook.errors import InputError
from stainbook.language import say

Floats = NDArray[np.float64]

PERCENT_ABOVE = 5.0  # no reflectance factor gets there, the darkest ceramic in percent does


def checked_reflectance(reflectance: ArrayLike, n: int) -> Floats:
    """The reflectance as a float array (…, n); raises InputError for another shape or plain percent."""
    array = np.asarray(reflectance, dtype=np.float64)
    if array.ndim == 0 or array.shape[-1] != n:
        raise InputError(
            say("reflectance of shape {shape}: expected (…, {n}), one value a wavelength", shape=array.shape, n=n)
        )
    too_high = array[array > PERCENT_ABOVE]
    if too_high.size:
        raise InputError(
            say(
                "a reflectance of {found:g}: expected a factor, 1 for the perfect diffuser; divide percent by 100",
                found=too_high.max(),
            )
        )
    return array


def spectrum_to_xyz(reflectance: ArrayLike, wavelengths: ArrayLike, *, illuminant: str, observer: int) -> Floats:
    """Tristimulus values of reflectance spectra.

    Parameters
    ----------
    reflectance : (…, n) float, factor, 1 for the perfect diffuser
    wavelengths : (n,) float, nm, even steps of 5, 10 or 20 that cover 400-700
    illuminant : name of the light, any case
    observer : 2 or 10, degrees

    Returns
    -------
    (…, 3) float, X, Y, Z with Y = 100 for the perfect diffuser

    Raises
    ------
    InputError : for wavelengths that cannot be integrated, another shape, or reflectance in percent
    UnknownNameError : for an unknown illuminant or observer

    References
    ----------
    ASTM E308.

    >>> from stainbook.colour import spectrum_to_xyz
    >>> grey = [0.5] * 31
    >>> nm = range(400, 701, 10)
    >>> spectrum_to_xyz(grey, nm, illuminant="D65", observer=10).round(1).tolist()
    [47.4, 50.0, 53.7]
    """
    weights = tristimulus_weights(wavelengths, illuminant=illuminant, observer=observer)
    return checked_reflectance(reflectance, weights.shape[0]) @ weights


def spectrum_to_lab(reflectance: ArrayLike, wavelengths: ArrayLike, *, illuminant: str, observer: int) -> Floats:
    """CIELAB of reflectance spectra, white from the same weights as the sample.

    Parameters
    ----------
    reflectance : (…, n) float, factor, 1 for the perfect diffuser
    wavelengths : (n,) float, nm, even steps of 5, 10 or 20 that cover 400-700
    illuminant : name of the light, any case
    observer : 2 or 10, degrees

    Returns
    -------
    (…, 3) float, L*, a*, b*

    Raises
    ------
    InputError : for wavelengths that cannot be integrated, another shape, or reflectance in percent
    UnknownNameError : for an unknown illuminant or observer

    References
    ----------
    ASTM E308; CIE 15:2018.

    >>> from stainbook.colour import spectrum_to_lab
    >>> grey = [0.5] * 31
    >>> nm = range(400, 701, 10)
    >>> round(float(spectrum_to_lab(grey, nm, illuminant="D65", observer=10)[0]), 2)
    76.07
    """
    weights = tristimulus_weights(wavelengths, illuminant=illuminant, observer=observer)
    return xyz_to_lab(checked_reflectance(reflectance, weights.shape[0]) @ weights, weights.sum(axis=0))


def lab_jacobian(reflectance: ArrayLike, wavelengths: ArrayLike, *, illuminant: str, observer: int) -> Floats:
    """Derivative of L*, a*, b* with respect to the reflectance of each band.

    Parameters
    ----------
    reflectance : (…, n) float, factor
    wavelengths : (n,) float, nm, even steps of 5, 10 or 20 that cover 400-700
    illuminant : name of the light, any case
    observer : 2 or 10, degrees

    Returns
    -------
    (…, 3, n) float, per unit of reflectance factor

    Raises
    ------
    InputError : for wavelengths that cannot be integrated, another shape, or reflectance in percent
    UnknownNameError : for an unknown illuminant or observer

    >>> from stainbook.colour import lab_jacobian
    >>> slope = lab_jacobian([0.5] * 31, range(400, 701, 10), illuminant="D65", observer=10)
    >>> round(0.01 * float(slope[0].sum()), 2)  # ΔL* where all bands are lighter by 0.01
    0.61
    """
    weights = tristimulus_weights(wavelengths, illuminant=illuminant, observer=observer)
    xyz = checked_reflectance(reflectance, weights.shape[0]) @ weights
    return np.asarray(lab_by_xyz(xyz, weights.sum(axis=0)) @ weights.T)
