"""Indices: metamerism of a pair, translucency, contrast ratio, whiteness."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stainbook.colour.cielab import colours, xyz_to_lab
from stainbook.colour.difference import delta_e_2000
from stainbook.colour.spectra import spectrum_to_lab, spectrum_to_xyz
from stainbook.colour.weights import white_point
from stainbook.errors import ConditionsError, UnknownNameError
from stainbook.language import say

Floats = NDArray[np.float64]

FORMULAS = ("CIEDE2000", "CIE76")


def metamerism_index(
    sample: ArrayLike,
    standard: ArrayLike,
    wavelengths: ArrayLike,
    *,
    reference: str = "D65",
    test: str = "A",
    observer: int = 10,
    formula: str = "CIEDE2000",
) -> Floats:
    """Colour difference of a pair under a test light, once any difference under the reference light is corrected.

    Factors on X, Y and Z correct the sample, so that the pair matches under the reference light.

    Parameters
    ----------
    sample, standard : (…, n) float, reflectance factor
    wavelengths : (n,) float, nm, even steps of 5, 10 or 20 that cover 400-700
    reference, test : names of the lights
    observer : 2 or 10, degrees
    formula : ``CIEDE2000`` or ``CIE76``

    Returns
    -------
    (…) float, the special metamerism index in units of the formula

    Raises
    ------
    InputError : for spectra that cannot be integrated
    UnknownNameError : for an unknown light, observer or formula

    References
    ----------
    CIE 15:2018, special metamerism index for a change in illuminant, multiplicative correction (from memory).

    >>> from stainbook.colour import metamerism_index
    >>> nm = range(400, 701, 10)
    >>> grey, rising = [0.5] * 31, [0.3 + 0.01 * i for i in range(31)]
    >>> [round(float(metamerism_index(one, grey, nm)), 1) for one in (grey, rising)]
    [0.0, 4.1]
    """
    if formula not in FORMULAS:
        raise UnknownNameError(say("colour difference formula"), formula, FORMULAS)
    pair = [spectrum_to_xyz(r, wavelengths, illuminant=reference, observer=observer) for r in (standard, sample)]
    factor = pair[0] / pair[1]
    white = white_point(test, observer, wavelengths)
    first = xyz_to_lab(spectrum_to_xyz(standard, wavelengths, illuminant=test, observer=observer), white)
    second = xyz_to_lab(spectrum_to_xyz(sample, wavelengths, illuminant=test, observer=observer) * factor, white)
    if formula == "CIE76":
        return np.asarray(np.linalg.norm(second - first, axis=-1))
    return delta_e_2000(first, second)


def translucency_tp00(black: ArrayLike, white: ArrayLike) -> Floats:
    """Translucency parameter TP00: CIEDE2000 (1:1:1) between one sample on black and on white.

    Parameters
    ----------
    black, white : (…, 3) float, L*, a*, b* of the sample before each backing, same light and observer

    Returns
    -------
    (…) float, ΔE00; 0 for an opaque sample

    Raises
    ------
    InputError : for another shape

    References
    ----------
    Johnston WM, Ma T, Kienle BH. Int J Prosthodont 1995;8:79-86 (the parameter, from memory); CIEDE2000 in the place of
    CIELAB's difference is common practice.

    >>> from stainbook.colour import translucency_tp00
    >>> round(float(translucency_tp00([70.0, 0.0, 8.0], [80.0, 1.0, 14.0])), 1)
    8.4
    """
    return delta_e_2000(black, white)


def contrast_ratio(black_xyz: ArrayLike, white_xyz: ArrayLike) -> Floats:
    """Contrast ratio, Y on black by Y on white: 0 for a clear sample, 1 for an opaque one (common practice).

    Parameters
    ----------
    black_xyz, white_xyz : (…, 3) float, X, Y, Z of the sample before each backing

    Returns
    -------
    (…) float

    Raises
    ------
    InputError : for another shape

    >>> from stainbook.colour import contrast_ratio
    >>> float(contrast_ratio([40.0, 42.0, 40.0], [66.0, 70.0, 66.0]))
    0.6
    """
    return np.asarray(colours(black_xyz, "X, Y, Z")[..., 1] / colours(white_xyz, "X, Y, Z")[..., 1])


def whiteness_wi_d(
    reflectance: ArrayLike, wavelengths: ArrayLike, *, illuminant: str = "D65", observer: int = 2
) -> Floats:
    """Whiteness index for dentistry WI_D, which is defined for D65 and the 2° observer only.

    Parameters
    ----------
    reflectance : (…, n) float, factor
    wavelengths : (n,) float, nm, even steps of 5, 10 or 20 that cover 400-700
    illuminant, observer : named only to be checked

    Returns
    -------
    (…) float, higher is whiter

    Raises
    ------
    ConditionsError : for any other light or observer
    InputError : for spectra that cannot be integrated

    References
    ----------
    Perez MM et al. Dent Mater 2016;32:461-7 (coefficients from memory).

    >>> from stainbook.colour import whiteness_wi_d
    >>> grey = [0.5] * 31
    >>> nm = range(400, 701, 10)
    >>> round(float(whiteness_wi_d(grey, nm)), 1)
    38.9
    """
    if (illuminant.upper(), observer) != ("D65", 2):
        raise ConditionsError(
            say(
                "WI_D under {illuminant}, {observer}°: it is defined for D65, 2° only; compute it there from "
                "the spectrum",
                illuminant=illuminant,
                observer=observer,
            )
        )
    return wi_d(spectrum_to_lab(reflectance, wavelengths, illuminant="D65", observer=2))


def wi_d(lab_d65_2: Floats) -> Floats:
    """0.511 L* - 2.324 a* - 1.100 b* of colours (…, 3) that are known to be D65/2°."""
    return np.asarray(lab_d65_2 @ np.array([0.511, -2.324, -1.100]))
