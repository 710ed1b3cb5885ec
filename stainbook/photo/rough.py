"""A small copy of a picture in rough L*, a*, b*, to find things by: far too coarse to measure."""

from __future__ import annotations

from typing import Any, NamedTuple

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from stainbook.colour import tristimulus_weights, xyz_to_lab
from stainbook.colour.screen import XYZ_TO_SRGB
from stainbook.photo.correct import fit_matrix
from stainbook.photo.picture import Picture
from stainbook.photo.target import ColourChart, read_patches

Floats = NDArray[np.float64]

LONGEST = 1000  # pixels of the longer side
GREY_AROUND = 1.06  # the target and a rim of it are no part of what is looked for


class Rough(NamedTuple):
    """L*, a*, b* (h, w, 3), which pixels (h, w) the target covers, and the copy's share of the picture's size."""

    lab: Floats
    target: NDArray[np.bool_]
    scale: float

    def to_picture(self, points: ArrayLike) -> Floats:
        """Pixels (n, 2) of the copy as pixels of the picture."""
        return (np.asarray(points, dtype=np.float64) + 0.5) / self.scale - 0.5

    def to_copy(self, points: ArrayLike) -> Floats:
        """Pixels (n, 2) of the picture as pixels of the copy."""
        return (np.asarray(points, dtype=np.float64) + 0.5) * self.scale - 0.5


def rough(picture: Picture, corners: ArrayLike, target: ColourChart) -> Rough:
    """Make the small copy of a picture, its colours by the target at these corners (4, 2).

    Raises InputError for corners that cannot be.

    >>> view = rough(picture, corners, chart)
    >>> view.scale, np.round(view.lab[100, 340])  # within the square
    (1.0, array([72.,  4., 15.]))
    """
    width, height = picture.size
    scale = min(1.0, LONGEST / max(width, height))
    step = max(1, int(0.5 / scale))
    part: NDArray[Any] = np.ascontiguousarray(picture.pixels[::step, ::step])
    size = (max(1, round(width * scale)), max(1, round(height * scale)))
    linear = picture.linear(cv2.resize(part, size, interpolation=cv2.INTER_AREA))
    to_xyz, white = _matrix(picture, corners, target)
    outline = (np.asarray(corners, dtype=np.float64) + 0.5) * scale - 0.5
    outline = outline.mean(axis=0) + GREY_AROUND * (outline - outline.mean(axis=0))
    covered = cv2.fillConvexPoly(np.zeros(linear.shape[:2], np.uint8), np.round(outline).astype(np.int32), 1)
    lab = xyz_to_lab(np.maximum(linear @ to_xyz.T, 1e-4), white)
    return Rough(lab, covered.astype(bool), scale)


def _matrix(picture: Picture, corners: ArrayLike, target: ColourChart) -> tuple[Floats, Floats]:
    """From linear RGB to tristimulus values (D65, 10°) by the patches; by greys as if the camera rendered sRGB."""
    weights = tristimulus_weights(target.wavelengths, illuminant="D65", observer=10)
    white = weights.sum(axis=0)
    patches = read_patches(picture, corners, target)
    used = patches.used
    rgb, xyz = patches.rgb[used], target.reflectance[used] @ weights
    if not target.grey_only and used.sum() >= 8:
        return fit_matrix(rgb, xyz, white, np.ones(len(rgb))), white
    gains = (xyz[:, 1:2] / 100.0 * rgb).sum(axis=0) / np.square(rgb).sum(axis=0)
    return np.linalg.inv(XYZ_TO_SRGB) * 100.0 * gains, white
