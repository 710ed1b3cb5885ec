"""Zones as rasters of colour, and two of them upon each other."""

import numpy as np
import pytest

from stainbook.photo.picture import Picture
from stainbook.photo.zone_map import CELLS, frame_like, frame_of, raster

SLOPE = np.linspace(0.2, 0.8, 100)[None, :, None] * np.ones((80, 100, 3))
SHIFT = np.array([12.0, 8.0])
BOX = [[10.0, 10], [70, 10], [70, 50], [10, 50]]


def picture(linear):
    return Picture(np.round(linear * 65535).astype(np.uint16), "linear")


def test_a_raster_shows_what_is_there():
    frame = frame_of(BOX)
    found = raster(picture(SLOPE), BOX, frame)
    assert found.shape == (16, CELLS, 3)
    middles = 10 + 60 * (np.arange(CELLS) + 0.5) / CELLS
    np.testing.assert_allclose(found[8, :, 0], np.interp(middles, np.arange(100), SLOPE[0, :, 0]), atol=0.004)


def test_outside_clipped_and_dark_cells_are_unknown():
    linear = SLOPE.copy()
    linear[10:20, 10:30] = 1.0
    linear[40:50, 10:30] = 0.0
    triangle = [[10.0, 10], [70, 10], [10, 50]]
    found = raster(picture(linear), BOX, frame_of(BOX))
    assert np.isnan(found[0, 0]).all()
    assert np.isnan(found[-1, 0]).all()
    assert np.isfinite(found[8, -1]).all()
    assert np.isnan(raster(picture(SLOPE), triangle, frame_of(triangle))[-1, -1]).all()


@pytest.mark.parametrize("points", [4, 3])
def test_the_same_zone_moved_in_another_picture_lies_upon_it(points):
    outline = np.array(BOX[:points])
    moved = outline @ [[0.9, 0.05], [-0.05, 0.9]] + SHIFT if points == 4 else outline + SHIFT
    y, x = np.mgrid[0:80, 0:100]
    frame = frame_of(outline)
    first = raster(picture(SLOPE), outline, frame)
    back = np.linalg.lstsq(np.column_stack([moved, np.ones(points)]), outline, rcond=None)[0]
    there = np.stack([x, y, np.ones_like(x)], axis=-1) @ back
    shifted = np.interp(there[..., 0], np.arange(100), SLOPE[0, :, 0])[..., None].repeat(3, axis=-1)
    second = raster(picture(shifted), moved, frame_like(frame, outline, moved))
    both = np.isfinite(first).all(axis=-1) & np.isfinite(second).all(axis=-1)
    assert both.mean() > 0.4
    np.testing.assert_allclose(first[both], second[both], atol=0.01)
