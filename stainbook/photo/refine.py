"""Corners of a target to a fraction of a pixel: every patch's edges have their say."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from stainbook.photo.geometry import bounds, fitted_homography, patch_polygons, project
from stainbook.photo.picture import Picture
from stainbook.photo.target import ColourChart

Floats = NDArray[np.float64]

WINDOWS = (0.14, 0.08, 0.08)  # of a patch's width, each side of a corner, one a pass
LARGEST = 1000  # pixels of the target's longer side, about: more does not make its corners surer
MARGIN = 12  # pixels around it
FEWEST = 8  # corners of patches
FURTHEST = 0.1  # of a patch's width: a corner that moved further is not trusted


def refined(picture: Picture, corners: Floats, target: ColourChart) -> Floats:
    """Corners (4, 2) moved to where the patches' own corners say; as they were when these say nothing."""
    box = bounds(corners, picture.size, margin=MARGIN)
    grey, step = _grey(picture, box)
    for window in WINDOWS:
        corners = _pass(grey, (corners - box[:2]) / step, target, window) * step + box[:2]
    return corners


def _grey(picture: Picture, box: tuple[int, int, int, int]) -> tuple[NDArray[np.float32], int]:
    """The part of a picture that the target is in, encoded for the eye, every so many pixels; and how many."""
    import cv2

    step = max(1, round(max(box[2] - box[0], box[3] - box[1]) / LARGEST))
    part: NDArray[Any] = np.ascontiguousarray(picture.pixels[box[1] : box[3] : step, box[0] : box[2] : step])
    grey = cv2.transform(part, np.full((1, 3), 1 / 3)).astype(np.float32) / np.float32(picture.full)
    grey = grey if picture.encoding == "srgb" else grey ** np.float32(1 / 2.2)
    return np.asarray(cv2.GaussianBlur(grey, (3, 3), 0) if step > 1 else grey), step


def _pass(grey: NDArray[np.float32], corners: Floats, target: ColourChart, share: float) -> Floats:
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
    matrix = fitted_homography(flat, moved[near].astype(np.float64), max(0.5, 0.01 * width))
    return project(matrix, grid)
