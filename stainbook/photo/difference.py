"""The change of zones between two pictures with the same target: what both get wrong alike cancels.

What remains is how the piece was put down and how the light fell; the doubt is a table of simulated pairs, as that of
one picture is, and grows with the change itself.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stainbook.colour import delta_e_2000, delta_e_2000_parts
from stainbook.photo.doubt import KINDS, Condition

Floats = NDArray[np.float64]

# ΔE00 between the true and the measured change, 95 % radius, by the worse of the two files, grey frame, tab; simulated
RADII: dict[tuple[str, bool, bool], tuple[float, ...]] = {
    ("linear", False, False): (2.7, 2.6, 2.5, 2.3, 2.7),
    ("linear", True, False): (1.3, 1.8, 1.3, 1.3, 1.8),
    ("linear", False, True): (2.5, 2.8, 2.4, 2.2, 2.9),
    ("linear", True, True): (1.5, 1.9, 1.4, 1.5, 1.9),
    ("srgb", False, False): (2.9, 2.8, 2.8, 2.6, 2.9),
    ("srgb", True, False): (2.2, 2.0, 1.9, 1.6, 2.2),
    ("srgb", False, True): (2.6, 3.0, 2.4, 2.4, 3.0),
    ("srgb", True, True): (2.0, 2.2, 1.8, 1.7, 2.2),
}


class Change(NamedTuple):
    """After minus before: L*, a*, b* (…, 3), ΔE00 and its parts (…)."""

    lab: Floats
    dE00: Floats
    dL: Floats
    dC: Floats
    dH: Floats


def change(before: ArrayLike, after: ArrayLike) -> Change:
    """The change between L*, a*, b* (…, 3) of two pictures."""
    first, second = np.asarray(before, dtype=np.float64), np.asarray(after, dtype=np.float64)
    parts = delta_e_2000_parts(second, first)
    return Change(second - first, delta_e_2000(second, first), parts.dL, parts.dC, parts.dH)


def change_radius(kind: str, before: Condition, after: Condition) -> float:
    """95 % radius in ΔE00 of a change of one zone: pictures taken alike err alike."""
    worse = "srgb" if "srgb" in (before.encoding, after.encoding) else "linear"
    known = kind if kind in KINDS else "unknown"
    return RADII[worse, before.even and after.even, before.tab and after.tab][KINDS.index(known)]
