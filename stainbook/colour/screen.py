"""Swatches: CIELAB to the screen's sRGB, with a word on whether the screen can show it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from stainbook.colour.cielab import colours, lab_to_xyz
from stainbook.errors import InputError
from stainbook.language import say

SRGB_WHITE = np.array([95.047, 100.0, 108.883])  # IEC 61966-2-1: D65, 2°
_PRINTED = np.array([[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]])
XYZ_TO_SRGB = _PRINTED / (_PRINTED @ SRGB_WHITE / 100.0)[:, np.newaxis]  # IEC 61966-2-1:1999, so that white is 1, 1, 1
CODE_STEP = 1.0 / 255.0


class Swatch(NamedTuple):
    """What to paint, and whether the screen can show the colour as it is."""

    hex: str
    in_gamut: bool


def lab_to_srgb(lab: ArrayLike) -> Swatch:
    """The screen colour of L*, a*, b* of any light and observer; white there is the screen's white.

    Parameters
    ----------
    lab : (3,) float, L*, a*, b*

    Returns
    -------
    Swatch of ``#rrggbb`` and ``in_gamut``; a colour that the screen cannot show is clipped and marked

    Raises
    ------
    InputError : for another shape, or a colour that is not a number

    References
    ----------
    IEC 61966-2-1:1999.

    >>> from stainbook.colour import lab_to_srgb
    >>> lab_to_srgb([72.0, 1.6, 17.0]).hex
    '#c0ae92'
    """
    colour = colours(lab)
    if colour.shape != (3,) or not np.all(np.isfinite(colour)):
        raise InputError(say("a swatch of {found}: expected one colour L*, a*, b*", found=colour.tolist()))
    linear = XYZ_TO_SRGB @ (lab_to_xyz(colour, SRGB_WHITE) / 100.0)
    shown = np.clip(linear, 0.0, 1.0)
    encoded = np.where(shown <= 0.0031308, 12.92 * shown, 1.055 * shown ** (1.0 / 2.4) - 0.055)
    # Within one code of the edge counts as shown: the matrix is rounded to four decimals.
    in_gamut = bool(np.all(linear >= -CODE_STEP / 12.92) and np.all(linear <= 1.0 + CODE_STEP))
    red, green, blue = np.rint(encoded * 255.0).astype(int)
    return Swatch(f"#{red:02x}{green:02x}{blue:02x}", in_gamut)
