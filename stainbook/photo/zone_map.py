"""A zone as a coarse raster of colours, and two rasters of one zone in two pictures laid upon each other."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stainbook.colour import xyz_to_lab
from stainbook.photo.calibration import PhotoCalibration
from stainbook.photo.field import LightField
from stainbook.photo.geometry import inside_points
from stainbook.photo.photo_zones import CLIPPED, DARK
from stainbook.photo.picture import Picture, highest

Floats = NDArray[np.float64]

CELLS = 24  # along the longer side of a zone
SAMPLES = 4  # along each side of a cell
FEWEST = 0.5  # share of a cell's samples that must be good


class RasterFrame(NamedTuple):
    """Rows and columns of a raster and the affine map (3, 2) from cells to pixels: [column, row, 1] @ matrix."""

    rows: int
    columns: int
    matrix: Floats


def frame_of(polygon: ArrayLike) -> RasterFrame:
    """The raster over the box around an outline (n, 2)."""
    points = np.asarray(polygon, dtype=np.float64)
    low, size = points.min(axis=0), np.maximum(np.ptp(points, axis=0), 1e-9)
    columns, rows = np.maximum(1, np.round(CELLS * size / size.max())).astype(int)
    return RasterFrame(int(rows), int(columns), np.array([[size[0] / columns, 0.0], [0.0, size[1] / rows], low]))


def frame_like(frame: RasterFrame, polygon: ArrayLike, other: ArrayLike) -> RasterFrame:
    """The same raster over the outline in another picture: by its points where they pair up, else by the boxes."""
    first, second = np.asarray(polygon, dtype=np.float64), np.asarray(other, dtype=np.float64)
    if len(first) != len(second):
        first, second = (
            np.array([p.min(axis=0), [p[:, 0].max(), p[:, 1].min()], p.max(axis=0)]) for p in (first, second)
        )
    affine = np.linalg.lstsq(np.column_stack([first, np.ones(len(first))]), second, rcond=None)[0]
    stacked = np.column_stack([frame.matrix, [0.0, 0.0, 1.0]])
    return frame._replace(matrix=stacked @ affine)


def raster(picture: Picture, polygon: ArrayLike, frame: RasterFrame, light: LightField | None = None) -> Floats:
    """Mean linear RGB (rows, columns, 3) of a zone's cells; NaN outside, under highlights and in the dark."""
    places = (np.arange(frame.rows * SAMPLES) + 0.5) / SAMPLES, (np.arange(frame.columns * SAMPLES) + 0.5) / SAMPLES
    row, column = np.meshgrid(*places, indexing="ij")
    points = np.stack([column, row, np.ones_like(row)], axis=-1) @ frame.matrix
    at = np.round(points).astype(int)
    width, height = picture.size
    seen = (at >= 0).all(axis=-1) & (at[..., 0] < width) & (at[..., 1] < height) & inside_points(polygon, points)
    at = np.clip(at, 0, [width - 1, height - 1])
    values = picture.pixels[at[..., 1], at[..., 0]]
    linear = picture.linear(values)
    if light is not None:
        linear = linear / light.at(at)
    good = seen & (highest(values) / picture.full < CLIPPED) & (highest(linear) > DARK)
    blocks = (frame.rows, SAMPLES, frame.columns, SAMPLES)
    count = good.reshape(blocks).sum(axis=(1, 3))
    total = np.where(good[..., np.newaxis], linear, 0.0).reshape(*blocks, 3).sum(axis=(1, 3))
    return np.where(
        (count >= FEWEST * SAMPLES**2)[..., np.newaxis], total / np.maximum(count, 1)[..., np.newaxis], np.nan
    )


def raster_lab(
    rgb: Floats, calibration: PhotoCalibration, place: Floats, matrix: Floats, white: Floats, offset: Floats
) -> Floats:
    """L*, a*, b* (rows, columns, 3) of a raster, by the matrix (3, 3) and tab offset (3,) of its zone."""
    flat = rgb.reshape(-1, 3)
    known = np.isfinite(flat).all(axis=1)
    lab = np.full(flat.shape, np.nan)
    places = np.broadcast_to(place, (int(known.sum()), 2))
    lab[known] = xyz_to_lab(calibration.straighten(flat[known], places, on_target=False) @ matrix.T, white) + offset
    return lab.reshape(rgb.shape)
