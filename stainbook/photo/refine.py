"""Corners of a target to a fraction of a pixel: every patch's edges have their say."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stainbook.photo.geometry import bounds, homography, patch_polygons, project
from stainbook.photo.picture import Picture
from stainbook.photo.target import Target

Floats = NDArray[np.float64]

WINDOWS = (0.14, 0.08, 0.08)  # of a patch's width, each side of a corner, one a pass
LARGEST_WINDOW = 24  # pixels
FURTHEST = 0.1  # of a patch's width: a corner that moved further is not trusted


def refined(picture: Picture, corners: Floats, target: Target) -> Floats:
    """Corners (4, 2) moved to where the patches' own corners say; as they were when these say nothing."""
    for window in WINDOWS:
        corners = _pass(picture, corners, target, window)
    return corners


def _pass(picture: Picture, corners: Floats, target: Target, share: float) -> Floats:
    import cv2

    outlines = patch_polygons(corners, target.rows, target.columns, target.fill)
    width = float(np.median(np.linalg.norm(outlines[:, 1] - outlines[:, 0], axis=1)))
    window = int(np.clip(share * width, 2, LARGEST_WINDOW))
    box = bounds(outlines.reshape(-1, 2), picture.size, margin=2 * window)
    part = picture.pixels[box[1] : box[3], box[0] : box[2]]
    grey = (np.asarray(part, np.float32) / picture.full).mean(axis=-1, dtype=np.float32) ** np.float32(1 / 2.2)
    points = (outlines.reshape(-1, 1, 2) - np.array(box[:2])).astype(np.float32)
    inner = np.all((points[:, 0] > 2 * window) & (points[:, 0] < np.array(grey.shape[::-1]) - 2 * window), axis=1)
    if inner.sum() < 8:
        return corners
    criteria = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 40, 0.01)
    moved = cv2.cornerSubPix(grey, points[inner].copy(), (window, window), (-1, -1), criteria)
    near = np.linalg.norm(moved[:, 0] - points[inner][:, 0], axis=1) < FURTHEST * width
    if near.sum() < 8:
        return corners
    size = (target.columns, target.rows)
    flat = patch_polygons([[0, 0], [size[0], 0], size, [0, size[1]]], target.rows, target.columns, target.fill)
    matrix, _ = cv2.findHomography(
        flat.reshape(-1, 2)[inner][near], moved[near][:, 0] + np.array(box[:2]), cv2.RANSAC, max(0.5, 0.01 * width)
    )
    grid = homography([[0, 0], [size[0], 0], size, [0, size[1]]], corners) if matrix is None else np.asarray(matrix)
    return project(grid, [[0, 0], [size[0], 0], size, [0, size[1]]])
