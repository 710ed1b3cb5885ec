from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given

from stainbook.colour import lab_to_lch, lab_to_xyz, lch_to_lab, white_point, xyz_to_lab
from stainbook.colour.cielab import checked_white
from stainbook.errors import InputError
from tests.colour.library import colour_science
from tests.colour.strategies import COLOURS, LIGHT, OBSERVER

D65 = np.array([95.047, 100.0, 108.883])


@given(COLOURS, LIGHT, OBSERVER)
def test_lab_to_xyz_and_back(lab, light, observer):
    white = white_point(light, observer)
    np.testing.assert_allclose(xyz_to_lab(lab_to_xyz(lab, white), white), lab, rtol=0, atol=1e-9)


@given(COLOURS)
def test_lch_and_back(lab):
    lch = lab_to_lch(lab)
    assert np.all((lch[:, 2] >= 0) & (lch[:, 2] < 360))
    np.testing.assert_allclose(lch_to_lab(lch), lab, rtol=0, atol=1e-9)


def test_white_is_a_hundred():
    np.testing.assert_array_equal(xyz_to_lab(D65, D65), [100.0, 0.0, 0.0])


def test_equals_colour_science():
    xyz = np.random.default_rng(1).uniform(0, 110, (2000, 3)) ** 2 / 110  # many near black too
    colour = colour_science()
    theirs = colour.XYZ_to_Lab(xyz / 100, colour.XYZ_to_xy(D65 / 100))
    np.testing.assert_allclose(xyz_to_lab(xyz, D65), theirs, rtol=0, atol=1e-9)


def test_hue_quarters():
    lab = [[50, 10, 0], [50, 0, 10], [50, -10, 0], [50, 0, -10], [50, 10, -1e-300]]
    np.testing.assert_allclose(lab_to_lch(lab)[:, 2], [0, 90, 180, 270, 0], atol=1e-12)


def test_a_white_on_the_wrong_scale_is_refused():
    with pytest.raises(InputError, match="Y = 100"):
        xyz_to_lab([20, 20, 20], D65 / 100)


@pytest.mark.parametrize("function", [lab_to_lch, lch_to_lab])
def test_other_shapes_are_refused(function):
    with pytest.raises(InputError, match="shape"):
        function([50.0, 0.0])


@pytest.mark.parametrize(("Y", "taken"), [(10.0, False), (10.001, True), (1000.0, True), (1000.001, False)])
def test_a_white_is_on_the_scale_of_100_above_10_and_up_to_1000(Y, taken):
    white = [0.95 * Y, Y, 1.09 * Y]
    if taken:
        assert checked_white(white).tolist() == white
    else:
        with pytest.raises(InputError, match="scale Y = 100"):
            checked_white(white)
