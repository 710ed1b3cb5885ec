"""The target found by itself: quadrilaterals in a small copy, a lattice through them, colours to tell its order.

Any grid will do whose colours are known and not the same when turned. Corners come back in the order of the table, and
are refined on the full picture.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from stainbook.photo.geometry import homography, project
from stainbook.photo.picture import Picture
from stainbook.photo.preview import preview
from stainbook.photo.refine import refined
from stainbook.photo.target import Target

Floats = NDArray[np.float64]

PREVIEW = 900  # pixels of the longer side: for finding alone
SMALLEST, LARGEST = 0.0002, 0.06  # area of a patch as a share of the picture
NEAR = 0.22  # of a cell: how far a patch's middle may lie from the lattice
SEEDS = 14  # quadrilaterals that are tried as the beginning of a lattice
FEWEST = 0.4  # share of the patches that must be seen as quadrilaterals
BEST, CLEAR = 0.18, 1.3  # colour misfit of a target that is found, and how much worse any other order must be
TURNS = (0, 1, 2, 3)


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """Corners (4, 2) of the grid of cells as the table is ordered, and how badly its colours are met."""

    corners: Floats
    misfit: float


def find_target(picture: Picture, target: Target) -> Found | None:
    """Look for a target in a picture; None when there is none, or its order cannot be told."""
    small, scale = preview(picture, PREVIEW)
    quads = _quadrilaterals(small)
    best: list[tuple[float, Floats]] = []
    for seed in quads[:SEEDS]:
        best.extend(_placed(small, quads, seed, target))
    if not best:
        return None
    best.sort(key=lambda pair: pair[0])
    misfit, corners = best[0]
    rivals = [
        other for other, place in best[1:] if np.abs(place - corners).max() > 0.3 * np.ptp(corners) / target.columns
    ]
    if misfit > BEST or (rivals and rivals[0] < CLEAR * misfit):
        return None
    return Found(refined(picture, (corners + 0.5) / scale - 0.5, target), misfit)


def _quadrilaterals(small: NDArray[np.uint8]) -> list[Floats]:
    """Convex four-sided outlines (4, 2), clockwise on screen, those of the commonest size first."""
    area = small.shape[0] * small.shape[1]
    quads: list[Floats] = []
    for channel in cv2.split(cv2.GaussianBlur(small, (3, 3), 0)):
        for low in (15, 40, 90):
            edges = cv2.dilate(cv2.Canny(channel, low, 2 * low), np.ones((3, 3), np.uint8))
            outlines, _ = cv2.findContours(255 - edges, cv2.RETR_LIST, cv2.CHAIN_APPROX_SIMPLE)
            for outline in outlines:
                size = cv2.contourArea(outline)
                if SMALLEST * area < size < LARGEST * area:
                    quads.extend(_four_sided(outline, size))
    return _distinct(quads)


def _four_sided(outline: Any, size: float) -> list[Floats]:
    rough = cv2.approxPolyDP(outline, 0.06 * cv2.arcLength(outline, True), True)
    if len(rough) != 4 or not cv2.isContourConvex(rough):
        return []
    points = rough[:, 0].astype(np.float64)
    sides = np.linalg.norm(points - np.roll(points, -1, axis=0), axis=1)
    if sides.min() < 0.45 * sides.max() or cv2.contourArea(rough) < 0.8 * size:
        return []
    middle = points.mean(axis=0)
    order = np.argsort(np.arctan2(points[:, 1] - middle[1], points[:, 0] - middle[0]))  # clockwise on screen
    return [points[order]]


def _distinct(quads: list[Floats]) -> list[Floats]:
    """Each place once, those first whose size is commonest."""
    if not quads:
        return []
    middles = np.array([quad.mean(axis=0) for quad in quads])
    sizes = np.array([np.sqrt(cv2.contourArea(quad.astype(np.float32))) for quad in quads])
    kept: list[int] = []
    for i in range(len(quads)):
        if all(np.linalg.norm(middles[i] - middles[j]) > 0.3 * sizes[j] for j in kept):
            kept.append(i)
    ln = np.log(sizes[kept])
    fellows = (np.abs(ln[:, np.newaxis] - ln) < 0.2).sum(axis=1)
    return [quads[kept[i]] for i in np.argsort(-fellows, kind="stable")]


def _placed(small: NDArray[np.uint8], quads: list[Floats], seed: Floats, target: Target) -> list[tuple[float, Floats]]:
    """Ways in which the table fits a lattice that begins at one patch: misfit and corners."""
    lattice = _lattice(quads, seed, target)
    if lattice is None:
        return []
    matrix, cells = lattice
    low, high = cells.min(axis=0), cells.max(axis=0)
    found = []
    for turn in TURNS:
        columns, rows = (target.columns, target.rows) if turn % 2 == 0 else (target.rows, target.columns)
        for left in range(int(high[0]) - columns + 1, int(low[0]) + 1):
            for top in range(int(high[1]) - rows + 1, int(low[1]) + 1):
                box = np.array([[left, top], [left + columns, top], [left + columns, top + rows], [left, top + rows]])
                corners = np.roll(project(matrix, box - 0.5), -turn, axis=0)
                misfit = _misfit(small, corners, target)
                if misfit is not None:
                    found.append((misfit, corners))
    return found


def _lattice(quads: list[Floats], seed: Floats, target: Target) -> tuple[Floats, Floats] | None:
    """A perspective from cells to pixels through as many patches as will fit, and their cells (n, 2)."""
    half = target.fill / 2.0
    unit = np.array([[-half, -half], [half, -half], [half, half], [-half, half]])
    matrix = homography(unit, seed)
    middles = np.array([quad.mean(axis=0) for quad in quads])
    cells = np.zeros((1, 2))
    reach = 1.6  # cells from those that are sure
    for _ in range(max(target.rows, target.columns)):
        places = project(np.asarray(np.linalg.inv(matrix), np.float64), middles)
        near = np.abs(places - np.round(places)).max(axis=1) < NEAR
        close = np.abs(np.round(places)[:, np.newaxis] - cells).max(axis=-1).min(axis=1) < reach
        chosen = near & close
        if chosen.sum() < 4:
            return None
        cells = np.round(places[chosen])
        if np.ptp(cells, axis=0).min() > 0:
            fitted, _ = cv2.findHomography(cells, middles[chosen], cv2.RANSAC, 3.0)
            matrix = matrix if fitted is None else np.array(fitted, dtype=np.float64)
    cells = np.unique(cells, axis=0)
    spans = np.sort(np.ptp(cells, axis=0) + 1)
    if len(cells) < FEWEST * target.rows * target.columns or np.any(spans > sorted((target.rows, target.columns))):
        return None
    return matrix, cells


def _misfit(small: NDArray[np.uint8], corners: Floats, target: Target) -> float | None:
    """How far the colours seen stray from the table's, each channel to its own gain; None outside the picture."""
    grid = homography([[0, 0], [target.columns, 0], [target.columns, target.rows], [0, target.rows]], corners)
    middles = np.stack(np.meshgrid(np.arange(target.columns), np.arange(target.rows)), axis=-1).reshape(-1, 2) + 0.5
    at = np.round(project(grid, middles)).astype(int)
    height, width = small.shape[:2]
    if at.min() < 0 or at[:, 0].max() >= width or at[:, 1].max() >= height:
        return None
    seen = small[at[:, 1], at[:, 0]] / 255.0
    expected = np.maximum(target.rough_rgb, 0.002) ** (1 / 2.2)
    gain = (seen * expected).sum(axis=0) / np.square(expected).sum(axis=0)
    return float(np.sqrt(np.mean(np.square(seen - gain * expected))) / seen.mean())
