"""CIELAB and its cylinder: XYZ to L*a*b* and back, L*C*h and back."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stainbook.errors import InputError
from stainbook.language import say

Floats = NDArray[np.float64]

EPSILON = (6.0 / 29.0) ** 3  # CIE 15: below this share of white the cube root turns into a line
KAPPA = (29.0 / 3.0) ** 3  # slope of L* there


_WHITE = say("the white's X, Y, Z")


def colours(values: ArrayLike, what: str = "L*, a*, b*") -> Floats:
    """The values as a float array (…, 3); raises InputError for any other shape, where ``what`` names the three."""
    array = np.asarray(values, dtype=np.float64)
    if array.ndim == 0 or array.shape[-1] != 3:
        raise InputError(say("an array of shape {shape}: expected (…, 3) for {what}", shape=array.shape, what=what))
    return array


def checked_white(white: ArrayLike) -> Floats:
    """A white point (3,) or (…, 3) as an array; raises InputError where one (3,) is not on the scale Y = 100."""
    array = colours(white, _WHITE)
    if array.ndim == 1 and not 10.0 < array[1] <= 1000.0:
        raise InputError(
            say(
                "a white with Y = {found:g}: expected the scale Y = 100; multiply by 100 what is on 0-1", found=array[1]
            )
        )
    return array


def xyz_to_lab(xyz: ArrayLike, white: ArrayLike) -> Floats:
    """CIELAB of tristimulus values.

    Parameters
    ----------
    xyz : (…, 3) float, X, Y, Z with Y = 100 for the perfect diffuser
    white : (3,) or (…, 3) float, the white point on the same scale

    Returns
    -------
    (…, 3) float, L*, a*, b*

    Raises
    ------
    InputError : for another shape, or a white that is not on the scale Y = 100

    References
    ----------
    CIE 15:2018, 8.2.1.

    >>> from stainbook.colour import xyz_to_lab
    >>> xyz_to_lab([41.24, 21.26, 1.93], [95.05, 100.0, 108.9]).round(2).tolist()
    [53.23, 80.11, 67.22]
    """
    f = _f(colours(xyz, "X, Y, Z") / checked_white(white))
    fx, fy, fz = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116.0 * fy - 16.0, 500.0 * (fx - fy), 200.0 * (fy - fz)], axis=-1)


def lab_to_xyz(lab: ArrayLike, white: ArrayLike) -> Floats:
    """Tristimulus values of CIELAB colours.

    Parameters
    ----------
    lab : (…, 3) float, L*, a*, b*
    white : (3,) or (…, 3) float, the white point, Y = 100

    Returns
    -------
    (…, 3) float, X, Y, Z, Y = 100 for white

    Raises
    ------
    InputError : for another shape, or a white that is not on the scale Y = 100

    References
    ----------
    CIE 15:2018, 8.2.1, solved for X, Y, Z.

    >>> from stainbook.colour import lab_to_xyz
    >>> lab_to_xyz([50.0, 0.0, 0.0], [95.05, 100.0, 108.9]).round(2).tolist()
    [17.51, 18.42, 20.06]
    """
    array = colours(lab)
    fy = (array[..., 0] + 16.0) / 116.0
    f = np.stack([fy + array[..., 1] / 500.0, fy, fy - array[..., 2] / 200.0], axis=-1)
    share = np.where(f > 6.0 / 29.0, f**3, (116.0 * f - 16.0) / KAPPA)
    return np.asarray(share * checked_white(white))


def lab_to_lch(lab: ArrayLike) -> Floats:
    """Lightness, chroma and hue angle of CIELAB colours.

    Parameters
    ----------
    lab : (…, 3) float, L*, a*, b*

    Returns
    -------
    (…, 3) float, L*, C*, h in degrees from 0 up to, but without, 360; h = 0 for a colour without chroma

    Raises
    ------
    InputError : for another shape

    References
    ----------
    CIE 15:2018, 8.2.1 (correlates of chroma and hue).

    >>> from stainbook.colour import lab_to_lch
    >>> lab_to_lch([72.0, 1.6, 17.0]).round(1).tolist()
    [72.0, 17.1, 84.6]
    """
    array = colours(lab)
    a, b = array[..., 1], array[..., 2]
    hue = np.degrees(np.arctan2(b, a)) % 360.0
    hue = np.where(hue >= 360.0, 0.0, hue)  # a tiny negative angle rounds up to 360 itself
    return np.stack([array[..., 0], np.hypot(a, b), hue], axis=-1)


def lch_to_lab(lch: ArrayLike) -> Floats:
    """CIELAB of lightness, chroma and hue angle, the inverse of `lab_to_lch`.

    Parameters
    ----------
    lch : (…, 3) float, L*, C*, h in degrees

    Returns
    -------
    (…, 3) float, L*, a*, b*

    Raises
    ------
    InputError : for another shape

    >>> from stainbook.colour import lch_to_lab
    >>> lch_to_lab([72.0, 17.0, 90.0]).round(1).tolist()
    [72.0, 0.0, 17.0]
    """
    array = colours(lch, "L*, C*, h")
    hue = np.radians(array[..., 2])
    return np.stack([array[..., 0], array[..., 1] * np.cos(hue), array[..., 1] * np.sin(hue)], axis=-1)


def lab_by_xyz(xyz: Floats, white: Floats) -> Floats:
    """Derivative of L*, a*, b* with respect to X, Y, Z.

    Parameters
    ----------
    xyz : (…, 3) float, X, Y, Z on the white's scale
    white : (3,) or (…, 3) float, the white point

    Returns
    -------
    (…, 3, 3) float, rows L*, a*, b*, columns X, Y, Z

    >>> import numpy as np
    >>> from stainbook.colour.cielab import lab_by_xyz
    >>> lab_by_xyz(np.array([50.0, 50.0, 50.0]), np.array([100.0, 100.0, 100.0])).round(2).tolist()
    [[0.0, 0.61, 0.0], [2.65, -2.65, 0.0], [0.0, 1.06, -1.06]]
    """
    slope = _f_slope(xyz / white) / white
    zero = np.zeros_like(slope[..., 0])
    rows = [
        [zero, 116.0 * slope[..., 1], zero],
        [500.0 * slope[..., 0], -500.0 * slope[..., 1], zero],
        [zero, 200.0 * slope[..., 1], -200.0 * slope[..., 2]],
    ]
    return np.stack([np.stack(row, axis=-1) for row in rows], axis=-2)


def _f(share: Floats) -> Floats:
    return np.where(share > EPSILON, np.cbrt(share), (KAPPA * share + 16.0) / 116.0)


def _f_slope(share: Floats) -> Floats:
    safe = np.where(share > EPSILON, share, EPSILON)
    return np.where(share > EPSILON, 1.0 / (3.0 * np.cbrt(safe) ** 2), KAPPA / 116.0)
