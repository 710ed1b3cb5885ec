"""Polygons on pixels: the target's patches through a perspective, and the pixels inside an outline.

Pixels count from the centre of the top left one, (0, 0).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

SAMPLES = 40  # along each side of a polygon's box, to tell how much of it lies in a picture
FITS = 4  # times that a perspective is fitted, each without the points that the one before was far from


def homography(source: ArrayLike, target: ArrayLike) -> Floats:
    """The perspective (3, 3) that takes four points (4, 2) to four others."""
    a, b = np.asarray(source, dtype=np.float64), np.asarray(target, dtype=np.float64)
    zero, one = np.zeros(4), np.ones(4)
    upper = np.column_stack([a, one, zero, zero, zero, -a * b[:, :1]])
    lower = np.column_stack([zero, zero, zero, a, one, -a * b[:, 1:]])
    solved = np.linalg.solve(np.vstack([upper, lower]), np.concatenate([b[:, 0], b[:, 1]]))
    return np.append(solved, 1.0).reshape(3, 3)


def fitted_homography(source: Floats, target: Floats, most: float) -> Floats:
    """The perspective (3, 3) that takes points (n, 2), four or more, nearest to others; those further off than most
    are left out, a few times over."""
    low, size = source.mean(axis=0), max(float(np.ptp(source)), 1e-9)
    there, large = target.mean(axis=0), max(float(np.ptp(target)), 1e-9)
    a, b = (source - low) / size, (target - there) / large
    kept = np.ones(len(a), dtype=bool)
    matrix = np.eye(3)
    for _ in range(FITS):
        matrix = _least_squares(a[kept], b[kept])
        with np.errstate(divide="ignore", invalid="ignore"):  # points on one line fix no perspective
            miss = np.nan_to_num(np.linalg.norm(project(matrix, a) - b, axis=1) * large, nan=np.inf)
        before, kept = kept, miss < max(most, 2.0 * float(np.median(miss)))
        if kept.sum() < 4 or np.array_equal(before, kept):
            break
    into = np.array([[1 / size, 0, -low[0] / size], [0, 1 / size, -low[1] / size], [0, 0, 1]])
    out = np.array([[large, 0, there[0]], [0, large, there[1]], [0, 0, 1]])
    return np.asarray(out @ matrix @ into)


def _least_squares(a: Floats, b: Floats) -> Floats:
    zero, one = np.zeros(len(a)), np.ones(len(a))
    upper = np.column_stack([a, one, zero, zero, zero, -a * b[:, :1]])
    lower = np.column_stack([zero, zero, zero, a, one, -a * b[:, 1:]])
    solved = np.linalg.lstsq(np.vstack([upper, lower]), np.concatenate([b[:, 0], b[:, 1]]), rcond=None)[0]
    return np.append(solved, 1.0).reshape(3, 3)


def project(matrix: Floats, points: ArrayLike) -> Floats:
    """Points (…, 2) through a perspective (3, 3)."""
    flat = np.asarray(points, dtype=np.float64)
    there = flat @ matrix[:, :2].T + matrix[:, 2]
    return np.asarray(there[..., :2] / there[..., 2:])


def patch_polygons(corners: ArrayLike, rows: int, columns: int, fill: float) -> Floats:
    """Outlines (rows x columns, 4, 2) of the patches of a grid whose outer corners are TL, TR, BR, BL.

    fill : share of a cell's width that is patch
    """
    matrix = homography([[0, 0], [columns, 0], [columns, rows], [0, rows]], corners)
    margin = (1.0 - fill) / 2.0
    box = np.array([[margin, margin], [1 - margin, margin], [1 - margin, 1 - margin], [margin, 1 - margin]])
    places = np.stack(np.meshgrid(np.arange(columns), np.arange(rows)), axis=-1).reshape(-1, 1, 2)
    return project(matrix, box + places)


def bounds(polygon: ArrayLike, size: tuple[int, int], margin: int = 0) -> tuple[int, int, int, int]:
    """Left, top, right, bottom (the last two outside) of the pixels that a polygon (n, 2) touches in a picture."""
    points = np.asarray(polygon, dtype=np.float64)
    low = np.floor(points.min(axis=0)).astype(int) - margin
    high = np.ceil(points.max(axis=0)).astype(int) + margin + 1
    width, height = size
    x0, y0 = int(np.clip(low[0], 0, width)), int(np.clip(low[1], 0, height))
    return x0, y0, int(np.clip(high[0], x0, width)), int(np.clip(high[1], y0, height))


def inside(polygon: ArrayLike, box: tuple[int, int, int, int], step: int = 1) -> Mask:
    """Which pixel centres of a box, every ``step``-th, lie in a polygon (n, 2), (h, w); even-odd rule."""
    points = np.asarray(polygon, dtype=np.float64)
    x0, y0, x1, y1 = box
    x, y = np.arange(x0, x1, step), np.arange(y0, y1, step)
    mask = np.zeros((y.size, x.size), dtype=bool)
    for (xa, ya), (xb, yb) in zip(points, np.roll(points, -1, axis=0), strict=True):
        crosses = (ya > y) != (yb > y)
        at = np.full(y.size, -np.inf)
        at[crosses] = xa + (y[crosses] - ya) * (xb - xa) / (yb - ya)
        mask ^= x < at[:, np.newaxis]
    return mask


def inside_points(polygon: ArrayLike, points: Floats) -> Mask:
    """Which points (…, 2) lie in a polygon (n, 2); even-odd rule."""
    corners = np.asarray(polygon, dtype=np.float64)
    x, y = points[..., 0], points[..., 1]
    mask = np.zeros(x.shape, dtype=bool)
    for (xa, ya), (xb, yb) in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        if ya != yb:
            mask ^= ((ya > y) != (yb > y)) & (x < xa + (y - ya) * (xb - xa) / (yb - ya))
    return mask


def area(polygon: ArrayLike) -> float:
    """Area of a polygon (n, 2) in square pixels."""
    x, y = np.asarray(polygon, dtype=np.float64).T
    return float(abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2.0)


def convex(corners: ArrayLike) -> bool:
    """Tell whether four corners (4, 2) go round a convex figure, in either sense."""
    points = np.asarray(corners, dtype=np.float64)
    edges = np.roll(points, -1, axis=0) - points
    after = np.roll(edges, -1, axis=0)
    turns = edges[:, 0] * after[:, 1] - edges[:, 1] * after[:, 0]
    return bool(np.all(turns > 0) or np.all(turns < 0))


def share_inside(polygon: ArrayLike, size: tuple[int, int]) -> float:
    """Give the share of a polygon's (n, 2) area that lies in a picture of a width and height in pixels.

    >>> round(share_inside([[-10, 0], [10, 0], [10, 10], [-10, 10]], (400, 200)), 2)
    0.53
    """
    points = np.asarray(polygon, dtype=np.float64)
    width, height = size
    if points.min() >= -0.5 and points[:, 0].max() <= width - 0.5 and points[:, 1].max() <= height - 0.5:
        return 1.0
    x, y = _spread(points)[inside_points(points, _spread(points))].T
    seen = (x >= -0.5) & (x <= width - 0.5) & (y >= -0.5) & (y <= height - 0.5)
    return float(seen.sum() / max(seen.size, 1))


def overlap(polygon: ArrayLike, other: ArrayLike) -> float:
    """Share of a polygon's (n, 2) area that lies in another polygon (m, 2).

    >>> overlap([[0, 0], [4, 0], [4, 4], [0, 4]], [[2, -1], [9, -1], [9, 5], [2, 5]])
    0.5
    """
    points = np.asarray(polygon, dtype=np.float64)
    within = _spread(points)[inside_points(points, _spread(points))]
    return float(inside_points(other, within).sum() / max(len(within), 1))


def _spread(points: Floats) -> Floats:
    """Points (SAMPLES, SAMPLES, 2) spread evenly over the box of a polygon (n, 2)."""
    low, span = points.min(axis=0), np.maximum(np.ptp(points, axis=0), 1e-9)
    x, y = np.meshgrid(*(low[axis] + span[axis] * (np.arange(SAMPLES) + 0.5) / SAMPLES for axis in (0, 1)))
    return np.stack([x, y], axis=-1)
