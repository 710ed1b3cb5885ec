"""Perspectives and the pixels inside an outline."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stainbook.photo.geometry import area, bounds, convex, homography, inside, patch_polygons, project

SQUARE = np.array([[0.0, 0], [1, 0], [1, 1], [0, 1]])
moves = st.lists(st.floats(-0.2, 0.2), min_size=8, max_size=8).map(lambda v: np.reshape(v, (4, 2)))


@given(moves, moves)
def test_a_perspective_takes_its_corners_there_and_back(first, second):
    source, target = SQUARE + first, 100 * (SQUARE + second)
    matrix = homography(source, target)
    np.testing.assert_allclose(project(matrix, source), target, atol=1e-6)
    np.testing.assert_allclose(project(homography(target, source), target), source, atol=1e-8)


def test_patches_stand_row_by_row_within_their_cells():
    patches = patch_polygons([[0, 0], [60, 0], [60, 40], [0, 40]], rows=4, columns=6, fill=0.8)
    assert patches.shape == (24, 4, 2)
    np.testing.assert_allclose(patches[1], [[11, 1], [19, 1], [19, 9], [11, 9]], atol=1e-9)
    np.testing.assert_allclose(patches[6].mean(axis=0), [5, 15], atol=1e-9)


def test_pixel_centres_count_as_inside():
    box = bounds([[0.5, 0.5], [3.5, 0.5], [3.5, 2.5], [0.5, 2.5]], (10, 10))
    mask = inside([[0.5, 0.5], [3.5, 0.5], [3.5, 2.5], [0.5, 2.5]], box)
    assert box == (0, 0, 5, 4)
    assert np.argwhere(mask).tolist() == [[1, 1], [1, 2], [1, 3], [2, 1], [2, 2], [2, 3]]


@given(st.lists(st.tuples(st.floats(1, 60), st.floats(1, 60)), min_size=3, max_size=9))
def test_pixels_of_an_outline_are_about_its_area(points):
    middle = np.mean(points, axis=0)
    points = sorted(points, key=lambda p: np.arctan2(p[1] - middle[1], p[0] - middle[0]))  # does not cross itself
    mask = inside(points, (0, 0, 62, 62))
    around = np.linalg.norm(np.subtract(points, np.roll(points, -1, axis=0)), axis=1).sum()
    assert abs(mask.sum() - area(points)) <= 1 + around  # at most the pixels along the edge


def test_an_outline_beyond_the_picture_is_cut():
    assert bounds([[-50, -50], [20, -50], [20, 20]], (10, 8)) == (0, 0, 10, 8)
    x0, y0, x1, y1 = bounds([[100, 100], [120, 100], [120, 120]], (10, 8))
    assert (x1 - x0) * (y1 - y0) == 0


@pytest.mark.parametrize(("order", "fine"), [([0, 1, 2, 3], True), ([3, 2, 1, 0], True), ([0, 2, 1, 3], False)])
def test_corners_that_cross_are_told(order, fine):
    assert convex(SQUARE[order]) is fine
