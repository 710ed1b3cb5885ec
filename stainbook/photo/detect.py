"""The target found by itself: quadrilaterals in a small copy, a lattice through them, colours to tell its order.

Any grid will do whose colours are known and not the same when turned. Corners come back in the order of the table, and
are refined on the full picture.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from stainbook.photo.geometry import fitted_homography, homography, project
from stainbook.photo.judge import encoded, linear
from stainbook.photo.picture import Picture
from stainbook.photo.refine import refined
from stainbook.photo.target import ColourChart

Floats = NDArray[np.float64]

PREVIEW = 900  # pixels of the longer side, about: for finding alone
SMALLEST, LARGEST = 0.0002, 0.06  # area of a patch as a share of the picture
EDGES, MIDDLING = (15, 40, 90), (40,)  # strengths of edges of 8 bits: all that are looked at, and which first
NEAR = 0.22  # of a cell: how far a patch's middle may lie from the lattice
SEEDS = 14  # quadrilaterals that are tried as the beginning of a lattice
FEWEST = 0.4  # share of the patches that must be seen as quadrilaterals
# Share of the patches' spread that their table leaves open, of a target that is found: 0.05-0.3 at the right place with
# any camera's curve, 0.75 and more at wrong ones (simulated); and how much worse any other order must be
BEST, CLEAR = 0.42, 1.5
LEAST_CONTRAST = 0.02  # of full scale: standard deviation of the patches, below which there is nothing to tell
ALIKE = 0.03  # singular value of the table's bands, of the largest, below which they say the same: of greys
FLAT = 1e-9  # determinant of a perspective, of its largest entry, that is none
NEXT = [1, 2, 3, 0]
TURNS = (0, 1, 2, 3)


@dataclass(frozen=True, slots=True, eq=False)
class DetectedChart:
    """Corners (4, 2) of the grid of cells as the table is ordered, and how badly its colours are met."""

    corners: Floats
    misfit: float


def find_target(picture: Picture, target: ColourChart) -> DetectedChart | None:
    """Look for a target in a picture; None when there is none, or its order cannot be told.

    Where it is not found as the file is said to be encoded, it is looked for as if that were stated wrongly.

    >>> found = find_target(picture, chart)
    >>> float(np.abs(found.corners - corners).max()) < 1.0  # pixels
    True
    """
    found = _find(picture, target)
    if found is None and not picture.is_raw:
        found = _find(linear(picture) if picture.encoding == "srgb" else encoded(picture), target)
    return found


def _find(picture: Picture, target: ColourChart) -> DetectedChart | None:
    small, cell, first = _small(picture)
    channels = cv2.split(cv2.GaussianBlur(small, (3, 3), 0))
    for edges in (MIDDLING, EDGES):  # most charts show by the first, in a third of the time
        quads = _quadrilaterals(channels, edges)
        placed: list[tuple[float, Floats]] = []
        for seed in quads[:SEEDS]:
            placed.extend(_placed(small, quads, seed, target))
            best = _clearest(placed, target)
            if best is not None:  # among all ways to lay the table on this lattice
                return DetectedChart(refined(picture, best[1] * cell + first, target), best[0])
    return None


def _clearest(placed: list[tuple[float, Floats]], target: ColourChart) -> tuple[float, Floats] | None:
    """The way whose colours are met, unless another is met nearly as well."""
    if not placed:
        return None
    misfit, corners = min(placed, key=lambda pair: pair[0])
    apart = 0.3 * np.ptp(corners) / target.columns
    rival = min((other for other, place in placed if np.abs(place - corners).max() > apart), default=np.inf)
    return None if misfit > BEST or rival < CLEAR * misfit else (misfit, corners)


def _small(picture: Picture) -> tuple[NDArray[np.uint8], int, float]:
    """A quick copy (h, w, 3) of 8 bits, encoded for the eye; pixels of the picture from one of its to the next, and
    where its first one lies."""
    longest = max(picture.size)
    step = max(1, longest // (2 * PREVIEW))
    width, height = (side // step for side in picture.size)
    # every step-th pixel, in a third of the time that strides of numpy take
    whole = picture.pixels[: height * step, : width * step]
    part: NDArray[Any] = np.asarray(cv2.resize(whole, (width, height), interpolation=cv2.INTER_NEAREST))
    cell, first = step, 0.0
    if longest > step * 1.5 * PREVIEW:
        even = part[: part.shape[0] // 2 * 2, : part.shape[1] // 2 * 2]
        part = np.asarray(cv2.resize(even, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA))
        cell, first = 2 * step, step / 2
    top = max(float(np.quantile(part[::4, ::4], 0.995, axis=(0, 1)).max()), 1e-9)
    if part.dtype == np.uint8:
        values = np.clip(np.arange(256) / top, 0, 1)
        curve = values if picture.encoding == "srgb" else values ** (1 / 2.2)
        return np.asarray(cv2.LUT(np.ascontiguousarray(part), (255 * curve).astype(np.uint8)), np.uint8), cell, first
    seen = np.clip(part.astype(np.float32) / np.float32(top), 0, 1)
    return (255 * (seen if picture.encoding == "srgb" else seen ** np.float32(1 / 2.2))).astype(np.uint8), cell, first


def _quadrilaterals(channels: Sequence[Any], strengths: Sequence[int]) -> list[Floats]:
    """Convex four-sided outlines (4, 2), clockwise on screen, those of the commonest size first.

    strengths : of edges, from which outlines are taken
    """
    area = channels[0].size
    quads: list[Floats] = []
    for low in strengths:
        edges = np.bitwise_or.reduce([cv2.Canny(channel, low, 2 * low) for channel in channels])
        apart = 255 - cv2.dilate(edges, np.ones((3, 3), np.uint8))
        outlines, _ = cv2.findContours(apart, cv2.RETR_LIST, cv2.CHAIN_APPROX_SIMPLE)
        for outline in outlines:
            if len(outline) < 4:
                continue
            size = cv2.contourArea(outline)
            if SMALLEST * area < size < LARGEST * area:
                quads.extend(_four_sided(outline, size))
    return _distinct(quads)


def _four_sided(outline: Any, size: float) -> list[Floats]:
    rough = cv2.approxPolyDP(outline, 0.06 * cv2.arcLength(outline, True), True)
    if len(rough) != 4 or not cv2.isContourConvex(rough):
        return []
    points = rough[:, 0].astype(np.float64)
    sides = np.square(points - points[NEXT]).sum(axis=1)
    if sides.min() < 0.45**2 * sides.max() or cv2.contourArea(rough) < 0.8 * size:
        return []
    middle = points.sum(axis=0) / 4
    order = np.argsort(np.arctan2(points[:, 1] - middle[1], points[:, 0] - middle[0]))  # clockwise on screen
    return [points[order]]


def _distinct(quads: list[Floats]) -> list[Floats]:
    """Each place once, those first whose size is commonest."""
    if not quads:
        return []
    middles = np.mean(quads, axis=1)
    x, y = np.moveaxis(np.array(quads), -1, 0)
    sizes = np.sqrt(np.abs((x * y[:, NEXT] - y * x[:, NEXT]).sum(axis=1)) / 2)
    kept: list[int] = []
    for i in range(len(quads)):
        away = np.square(middles[kept] - middles[i]).sum(axis=1)
        if (away > (0.3 * sizes[kept]) ** 2).all():
            kept.append(i)
    ln = np.log(sizes[kept])
    fellows = (np.abs(ln[:, np.newaxis] - ln) < 0.2).sum(axis=1)
    return [quads[kept[i]] for i in np.argsort(-fellows, kind="stable")]


def _placed(
    small: NDArray[np.uint8], quads: list[Floats], seed: Floats, target: ColourChart
) -> list[tuple[float, Floats]]:
    """Ways in which the table fits a lattice that begins at one patch: misfit and corners."""
    lattice = _lattice(quads, seed, target)
    if lattice is None:
        return []
    matrix, cells = lattice
    low, high = cells.min(axis=0), cells.max(axis=0)
    found = []
    for turn in TURNS:
        columns, rows = (target.columns, target.rows) if turn % 2 == 0 else (target.rows, target.columns)
        for left in _begins(low[0], high[0], columns):
            for top in _begins(low[1], high[1], rows):
                inner = np.all((cells >= [left, top]) & (cells < [left + columns, top + rows]), axis=1)
                if inner.sum() < FEWEST * target.rows * target.columns:
                    continue
                box = np.array([[left, top], [left + columns, top], [left + columns, top + rows], [left, top + rows]])
                corners = np.roll(project(matrix, box - 0.5), -turn, axis=0)
                misfit = _misfit(small, corners, target)
                if misfit is not None:
                    found.append((misfit, corners))
    return found


def _begins(low: float, high: float, count: int) -> range:
    """Where so many cells in a row may begin: all seen within them, or where more are seen, within those."""
    first, last = int(high) - count + 1, int(low)
    return range(min(first, last), max(first, last) + 1)


def _lattice(quads: list[Floats], seed: Floats, target: ColourChart) -> tuple[Floats, Floats] | None:
    """A perspective from cells to pixels through as many patches as will fit, and their cells (n, 2)."""
    half = target.fill / 2.0
    unit = np.array([[-half, -half], [half, -half], [half, half], [-half, half]])
    matrix = homography(unit, seed)
    middles = np.mean(quads, axis=1)
    cells = np.zeros((1, 2))
    reach = 1.6  # cells from those that are sure
    for _ in range(max(target.rows, target.columns)):
        if not np.isfinite(matrix).all() or abs(np.linalg.det(matrix)) < FLAT * np.abs(matrix).max():
            return None
        with np.errstate(divide="ignore", invalid="ignore"):  # what lies on its horizon is nowhere
            places = np.nan_to_num(project(np.asarray(np.linalg.inv(matrix), np.float64), middles), nan=np.inf)
        near = np.abs(places - np.round(places)).max(axis=1) < NEAR
        close = np.abs(np.round(places)[:, np.newaxis] - cells).max(axis=-1).min(axis=1) < reach
        chosen = near & close
        if chosen.sum() < 4:
            return None
        cells = np.round(places[chosen])
        if np.ptp(cells, axis=0).min() > 0:
            matrix = fitted_homography(cells, middles[chosen], 3.0)
    cells = np.unique(cells, axis=0)
    if len(cells) < FEWEST * target.rows * target.columns:
        return None
    return matrix, cells


def _misfit(small: NDArray[np.uint8], corners: Floats, target: ColourChart) -> float | None:
    """Share of the spread of the colours seen that the table leaves open; None outside the picture or without spread.

    Each channel as seen is a mixture of what three broad bands of the table reflect, encoded, and a constant: that
    takes a camera's matrix, balance, veil and most of its curve.
    """
    grid = homography([[0, 0], [target.columns, 0], [target.columns, target.rows], [0, target.rows]], corners)
    middles = np.stack(np.meshgrid(np.arange(target.columns), np.arange(target.rows)), axis=-1).reshape(-1, 2) + 0.5
    at = np.round(project(grid, middles)).astype(int)
    height, width = small.shape[:2]
    if at.min() < 0 or at[:, 0].max() >= width or at[:, 1].max() >= height:
        return None
    seen = small[at[:, 1], at[:, 0]] / 255.0
    expected = np.maximum(target.rough_rgb, 0.002) ** (1 / 2.2)
    around = seen - seen.mean(axis=0)
    if around.std() < LEAST_CONTRAST:
        return None
    told = expected - expected.mean(axis=0)
    mixture, _, rank, _ = np.linalg.lstsq(told, around, rcond=ALIKE)
    left = len(seen) - 1 - int(rank)
    if left < 2 or np.trace(mixture) <= 0.0:  # nothing to tell by, or light patches for dark ones
        return None
    open_share = np.square(around - told @ mixture).sum() / left / (np.square(around).sum() / (len(seen) - 1))
    return float(np.sqrt(open_share))
