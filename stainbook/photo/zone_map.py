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
    """Give the raster over the box around an outline (n, 2), in pixels.

    >>> frame = frame_of([[300, 60], [380, 60], [380, 100], [300, 100]])
    >>> frame.rows, frame.columns
    (12, 24)
    """
    points = np.asarray(polygon, dtype=np.float64)
    low, size = points.min(axis=0), np.maximum(np.ptp(points, axis=0), 1e-9)
    columns, rows = np.maximum(1, np.round(CELLS * size / size.max())).astype(int)
    return RasterFrame(int(rows), int(columns), np.array([[size[0] / columns, 0.0], [0.0, size[1] / rows], low]))


def frame_like(frame: RasterFrame, polygon: ArrayLike, other: ArrayLike) -> RasterFrame:
    """Give a raster over the same outline in another picture: by its points where they pair up, else by the boxes.

    >>> outline = np.array([[300, 60], [380, 60], [380, 140], [300, 140]])
    >>> moved = frame_like(frame_of(outline), outline, outline + [7, 0]).matrix - frame_of(outline).matrix
    >>> moved.round(6)[2].tolist()
    [7.0, 0.0]
    """
    first, second = np.asarray(polygon, dtype=np.float64), np.asarray(other, dtype=np.float64)
    if len(first) != len(second):
        first, second = (
            np.array([p.min(axis=0), [p[:, 0].max(), p[:, 1].min()], p.max(axis=0)]) for p in (first, second)
        )
    affine = np.linalg.lstsq(np.column_stack([first, np.ones(len(first))]), second, rcond=None)[0]
    stacked = np.column_stack([frame.matrix, [0.0, 0.0, 1.0]])
    return frame._replace(matrix=stacked @ affine)


def raster(picture: Picture, polygon: ArrayLike, frame: RasterFrame, light: LightField | None = None) -> Floats:
    """Give the mean linear RGB (rows, columns, 3) of a zone's cells; NaN outside, under highlights and in the dark.

    >>> outline = [[310, 70], [370, 70], [370, 130], [310, 130]]
    >>> cells = raster(picture, outline, frame_of(outline))
    >>> cells.shape, np.allclose(cells[12, 12], square @ camera, atol=1e-4)
    ((24, 24, 3), True)
    """
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
    """Give L*, a*, b* (rows, columns, 3) of a raster, by the matrix (3, 3) and tab offset (3,) of its zone.

    place : (2,) of the zone, as `place_of` has it; white : (3,) tristimulus values of the light

    >>> from stainbook.photo.measure import Outline, measure
    >>> outline = [[310, 70], [370, 70], [370, 130], [310, 130]]
    >>> seen = measure(picture, corners, chart, [Outline("unknown", outline)], {}, illuminant="D65", observer=10)
    >>> zone, white = seen.zones[0], np.array([94.81, 100.0, 107.33])  # D65, 10°
    >>> cells = raster(picture, outline, frame_of(outline))
    >>> raster_lab(cells, seen.calibration, zone.place, zone.matrix, white, zone.offset)[12, 12].round(1).tolist()
    [72.3, 3.8, 15.2]
    """
    flat = rgb.reshape(-1, 3)
    known = np.isfinite(flat).all(axis=1)
    lab = np.full(flat.shape, np.nan)
    places = np.broadcast_to(place, (int(known.sum()), 2))
    lab[known] = xyz_to_lab(calibration.straighten(flat[known], places, on_target=False) @ matrix.T, white) + offset
    return lab.reshape(rgb.shape)
