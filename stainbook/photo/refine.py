"""Corners of a target to a fraction of a pixel: every patch's edges have their say."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from stainbook.photo.geometry import bounds, patch_polygons, project
from stainbook.photo.picture import Picture
from stainbook.photo.target import Target

Floats = NDArray[np.float64]

WINDOWS = (0.14, 0.08, 0.08)  # of a patch's width, each side of a corner, one a pass
LARGEST = 1400  # pixels of the target's longer side: more does not make its corners surer
MARGIN = 12  # pixels around it
FEWEST = 8  # corners of patches
FURTHEST = 0.1  # of a patch's width: a corner that moved further is not trusted


def refined(picture: Picture, corners: Floats, target: Target) -> Floats:
    """Corners (4, 2) moved to where the patches' own corners say; as they were when these say nothing."""
    box = bounds(corners, picture.size, margin=MARGIN)
    grey, scale = _grey(picture, box)
    for window in WINDOWS:
        here = (corners - box[:2] + 0.5) * scale - 0.5
        corners = (_pass(grey, here, target, window) + 0.5) / scale - 0.5 + box[:2]
    return corners


def _grey(picture: Picture, box: tuple[int, int, int, int]) -> tuple[NDArray[np.float32], float]:
    """The part of a picture that the target is in, encoded for the eye, no larger than need be; and its scale."""
    import cv2

    part: NDArray[Any] = picture.pixels[box[1] : box[3], box[0] : box[2]]
    scale = min(1.0, LARGEST / max(part.shape[:2]))
    if scale < 1.0:
        part = np.asarray(cv2.resize(part, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA))
    grey = part.mean(axis=-1, dtype=np.float32) / np.float32(picture.full)
    return grey if picture.encoding == "srgb" else grey ** np.float32(1 / 2.2), scale


def _pass(grey: NDArray[np.float32], corners: Floats, target: Target, share: float) -> Floats:
    import cv2

    outlines = patch_polygons(corners, target.rows, target.columns, target.fill)
    width = float(np.median(np.linalg.norm(outlines[:, 1] - outlines[:, 0], axis=1)))
    window = max(2, int(share * width))
    points = outlines.reshape(-1, 1, 2).astype(np.float32)
    edge = np.array(grey.shape[::-1]) - 2 * window
    inner = np.all((points[:, 0] > 2 * window) & (points[:, 0] < edge), axis=1)
    if inner.sum() < FEWEST:
        return corners
    criteria = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 40, 0.01)
    moved = cv2.cornerSubPix(grey, points[inner].copy(), (window, window), (-1, -1), criteria)[:, 0]
    near = np.linalg.norm(moved - points[inner][:, 0], axis=1) < FURTHEST * width
    if near.sum() < FEWEST:
        return corners
    size = (target.columns, target.rows)
    grid = [[0, 0], [size[0], 0], size, [0, size[1]]]
    flat = patch_polygons(grid, target.rows, target.columns, target.fill).reshape(-1, 2)[inner][near]
    matrix, _ = cv2.findHomography(flat, moved[near], cv2.RANSAC, max(0.5, 0.01 * width))
    return corners if matrix is None else project(np.asarray(matrix, np.float64), grid)
