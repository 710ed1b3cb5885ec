"""The change of zones between two pictures with the same target: what both get wrong alike cancels.

What remains is how the piece was put down and how the light fell; the doubt is a table of simulated pairs, as that of
one picture is, and grows with the change itself.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stainbook.colour import delta_e_2000, delta_e_2000_parts
from stainbook.photo.doubt import Condition, gloss
from stainbook.photo.target import PatchReadings

Floats = NDArray[np.float64]

CHANGED = ("living tooth", "living gum", "fired tooth", "fired gum")  # and the last column for any other

# ΔE00 between the true and the measured change, 95 % radius, by the worse of the two files, grey frame, tab; simulated
RADII: dict[tuple[str, bool, bool], tuple[float, ...]] = {
    ("linear", False, False): (2.7, 3.0, 2.8, 2.7, 3.0),
    ("linear", True, False): (1.3, 2.1, 1.5, 1.5, 2.1),
    ("linear", False, True): (2.5, 2.8, 2.5, 2.3, 2.9),
    ("linear", True, True): (1.5, 2.2, 1.6, 1.6, 2.2),
    ("srgb", False, False): (2.9, 3.1, 3.1, 2.8, 3.2),
    ("srgb", True, False): (2.0, 2.3, 2.0, 1.7, 2.3),
    ("srgb", False, True): (2.6, 3.3, 2.8, 2.6, 3.3),
    ("srgb", True, True): (1.9, 2.4, 2.0, 1.8, 2.4),
}
# and where lamps, camera and target stood as before: about twice the simulated 95th percentile for linear files, half
# as much again for JPEG, since a piece is put back less nearly, and its gloss changes, in more ways than simulated
ALIKE: dict[str, tuple[float, ...]] = {"linear": (0.8, 1.5, 0.8, 1.0, 1.5), "srgb": (1.3, 1.7, 1.3, 1.2, 1.7)}
SAME_LIGHT = 0.005  # robust standard deviation of ln (now / before) over the patches of one target under one light
SAME_PLACE = 0.012  # of the picture's longer side, that a corner may have moved
DIM = 0.04  # linear: a dimmer channel of 8 bits says little of a light
FEWEST = 4  # patches seen in both pictures


def taken_alike(before: PatchReadings, now: PatchReadings, corners: tuple[Floats, Floats], longest: int) -> bool:
    """Tell whether lamps, camera and target stood alike in two pictures: the patches changed alike and stayed in place.

    corners : (4, 2) each, of the target before and now; longest : pixels of the picture's longer side

    >>> from stainbook.photo.target import read_patches
    >>> patches = read_patches(picture, corners, chart)
    >>> [taken_alike(patches, patches, (corners, corners + moved), 400) for moved in (1, 9)]
    [True, False]
    """
    both = before.used & now.used & (np.minimum(before.rgb, now.rgb).min(axis=1) > DIM)
    if both.sum() < FEWEST or np.abs(corners[0] - corners[1]).max() > SAME_PLACE * longest:
        return False
    ratio = np.log(now.rgb[both] / before.rgb[both])
    light = (ratio - np.median(ratio, axis=0)).mean(axis=1)
    return bool(1.4826 * np.median(np.abs(light)) < SAME_LIGHT)


class ColourChange(NamedTuple):
    """After minus before: L*, a*, b* (…, 3), ΔE00 and its parts (…)."""

    lab: Floats
    dE00: Floats
    dL: Floats
    dC: Floats
    dH: Floats


def change(before: ArrayLike, after: ArrayLike) -> ColourChange:
    """Give the change between L*, a*, b* (…, 3) of two pictures: after minus before.

    >>> found = change([70.0, 1.0, 15.0], [72.0, 1.0, 15.0])
    >>> float(found.lab[0]), round(float(found.dE00), 2)
    (2.0, 1.53)
    """
    first, second = np.asarray(before, dtype=np.float64), np.asarray(after, dtype=np.float64)
    parts = delta_e_2000_parts(second, first)
    return ColourChange(second - first, delta_e_2000(second, first), parts.dL, parts.dC, parts.dH)


def change_radius(
    kind: str, before: Condition, after: Condition, *, alike: bool = False, uneven: tuple[float, float] = (0.0, 0.0)
) -> float:
    """Give the 95 % radius in ΔE00 of a change of one zone (simulated pairs); pictures taken alike err alike.

    uneven : spread of the zone's ln luminance in both, which tells of broad highlights

    >>> condition = Condition("linear", even=True, tab=False)
    >>> [change_radius("fired tooth", condition, condition, alike=alike) for alike in (False, True)]
    [1.5, 0.8]
    """
    worse = "srgb" if "srgb" in (before.encoding, after.encoding) else "linear"
    known = CHANGED.index(kind) if kind in CHANGED else -1
    radius = ALIKE[worse][known] if alike else RADII[worse, before.even and after.even, before.tab and after.tab][known]
    return math.hypot(radius, gloss(uneven[0]), gloss(uneven[1]))
