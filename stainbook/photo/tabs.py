"""Shade tabs of known colour in the frame: they take shading, distance and uneven light out of the zones in part.

Lightness is taken nearly whole, chroma in part, since a tab is of another material than a zone and errs in its own way.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stainbook.colour import delta_e_2000

Floats = NDArray[np.float64]

SHARE = np.array([0.8, 0.3, 0.3])  # of the offset in L*, a*, b*
GREY_SHARE = np.array([1.0, 1.0, 1.0])  # with a grey card alone nothing else tells of chroma


def tab_offset(measured: Floats, known: Floats, *, grey_only: bool = False) -> tuple[Floats, float]:
    """What to add to L*, a*, b* (3,) of zones, and how far the tabs were off (median ΔE00) before.

    measured, known : (t, 3) float, L*, a*, b* of one tab or more
    """
    share = GREY_SHARE if grey_only else SHARE
    offset = share * np.median(known - measured, axis=0)
    return np.asarray(offset), float(np.median(delta_e_2000(measured, known)))
