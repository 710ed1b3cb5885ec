"""Correction of an instrument's bandpass."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stainbook.errors import InputError
from stainbook.language import say

ALPHA = 0.083  # Stearns and Stearns 1988, for a triangular bandpass as wide as the step


def bandpass_correct(reflectance: ArrayLike) -> NDArray[np.float64]:
    """Reflectance freed from a triangular bandpass as wide as the measuring step.

    Many instruments do this themselves. Do it once, and store a flag ``bandpass_corrected`` with the result:
    a second pass sharpens the spectrum falsely, and the numbers do not show it.

    Parameters
    ----------
    reflectance : (…, n) float, factor, n >= 2, even steps

    Returns
    -------
    (…, n) float, factor

    Raises
    ------
    InputError : for fewer than two bands

    References
    ----------
    Stearns EI, Stearns RE. Color Res Appl 1988;13(4):257-259.

    >>> from stainbook.colour import bandpass_correct
    >>> bandpass_correct([0.2, 0.3, 0.5, 0.7, 0.8]).round(3).tolist()
    [0.192, 0.292, 0.5, 0.708, 0.808]
    """
    r = np.asarray(reflectance, dtype=np.float64)
    if r.ndim == 0 or r.shape[-1] < 2:
        raise InputError(say("reflectance of shape {shape}: expected (…, n) with at least two bands", shape=r.shape))
    padded = np.concatenate([r[..., :1], r, r[..., -1:]], axis=-1)  # held ends give (1 + α) R0 - α R1
    return np.asarray((1.0 + 2.0 * ALPHA) * r - ALPHA * (padded[..., :-2] + padded[..., 2:]))
