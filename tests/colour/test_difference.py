from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given

from stainbook.colour import delta_e_2000, delta_e_2000_parts
from stainbook.colour.difference import BLOCK
from stainbook.errors import InputError
from tests.colour.library import colour_science
from tests.colour.strategies import COLOURS
from tests.published import published

SHARMA = np.array([[float(value) for value in row.values()] for row in published("ciede2000_sharma2005.csv")])
HALF_A_DIGIT = 5e-5  # the table has four decimals


@pytest.fixture(scope="module")
def reference():
    return colour_science().difference.delta_E_CIE2000


@pytest.mark.parametrize("row", SHARMA, ids=lambda row: f"pair {row[0]:.0f}")
def test_pairs_of_sharma_2005_either_way_round(row):
    forth, back = delta_e_2000(row[1:4], row[4:7]), delta_e_2000(row[4:7], row[1:4])
    assert forth == pytest.approx(row[7], abs=HALF_A_DIGIT)
    assert back == forth


def test_white_and_black_are_a_hundred_apart():
    assert delta_e_2000([100, 0, 0], [0, 0, 0]) == pytest.approx(100.0, abs=1e-9)


def test_pair_25_with_kl_2():
    row = SHARMA[24]
    assert delta_e_2000(row[1:4], row[4:7], kL=2.0) == pytest.approx(1.25482, abs=5e-6)


@pytest.mark.parametrize("spread", [1e-3, 1.0, 100.0])
def test_equals_colour_science(reference, spread):
    rng = np.random.default_rng(20)
    a = rng.uniform([0, -110, -110], [100, 110, 110], (3 * BLOCK + 7, 3))
    b = a + rng.normal(0, spread, a.shape)
    # 1e-9: near opposite hues both lose digits, in different ways, on differences up to 190.
    np.testing.assert_allclose(delta_e_2000(a, b), reference(a, b), rtol=0, atol=1e-9)


def test_equals_colour_science_where_hues_are_opposite_zero_or_absent(reference):
    steps = np.array([-40.0, -2.0, -1e-3, 0.0, 1e-3, 2.0, 40.0])
    a, b = np.meshgrid(steps, steps)
    grid = np.column_stack([np.full(a.size, 50.0), a.ravel(), b.ravel()])
    first, second = np.repeat(grid, len(grid), axis=0), np.tile(grid, (len(grid), 1))
    np.testing.assert_allclose(delta_e_2000(first, second), reference(first, second), rtol=0, atol=1e-9)


def test_textile_weights_equal_colour_science(reference):
    rng = np.random.default_rng(21)
    a, b = rng.uniform([0, -60, -60], [100, 60, 60], (2, 500, 3))
    np.testing.assert_allclose(delta_e_2000(a, b, kL=2.0), reference(a, b, textiles=True), rtol=0, atol=1e-9)


@given(COLOURS)
def test_no_difference_to_itself(lab):
    assert np.all(delta_e_2000(lab, lab) == 0.0)


@given(COLOURS, COLOURS)
def test_symmetric(a, b):
    forth, back = delta_e_2000(a[:, None], b[None]), delta_e_2000(b[:, None], a[None])
    np.testing.assert_allclose(forth, back.T, rtol=0, atol=1e-9)
    assert np.all(forth >= 0.0)


@given(COLOURS, COLOURS)
def test_scalar_is_array_is_grid(a, b):
    grid = delta_e_2000(a[:, None, :], b[None, :, :])
    assert grid.shape == (len(a), len(b))
    assert grid[0, -1] == delta_e_2000(a[0], b[-1])
    np.testing.assert_array_equal(grid[:, 0], delta_e_2000(a, b[0]))


def test_scalar_comes_back_as_a_number():
    assert float(delta_e_2000((50, 0, 0), (51, 0, 0))) > 0.9
    assert delta_e_2000((50, 0, 0), (51, 0, 0)).shape == ()


def test_empty_in_empty_out():
    assert delta_e_2000(np.empty((0, 3)), (50, 0, 0)).shape == (0,)


def test_nan_goes_through_alone():
    lab = np.array([[50, 1, 2], [np.nan, 1, 2], [50, np.nan, 2]])
    dE = delta_e_2000(lab, [51, 2, 3])
    assert np.isfinite(dE[0])
    assert np.all(np.isnan(dE[1:]))


def test_parts_are_sample_minus_target():
    parts = delta_e_2000_parts([60, 5, 20], [55, 4, 15])
    assert parts.dL == pytest.approx(5.0, abs=1e-12)
    assert parts.dC > 0
    redder = delta_e_2000_parts([60, 10, 20], [60, 5, 20])
    assert redder.dH < 0  # hue angle falls from yellow towards red


@given(COLOURS, COLOURS)
def test_parts_turn_sign_with_the_pair(a, b):
    forth, back = delta_e_2000_parts(a[0], b[0]), delta_e_2000_parts(b[0], a[0])
    assert forth.dL == -back.dL
    assert forth.dC == -back.dC
    assert abs(forth.dH) == pytest.approx(abs(back.dH), abs=1e-9)  # opposite hues: both turns are as long


def test_parts_equal_colour_science():
    intermediate = colour_science().difference.delta_e.intermediate_attributes_CIE2000
    rng = np.random.default_rng(22)
    target, sample = rng.uniform([0, -60, -60], [100, 60, 60], (2, 1000, 3))
    theirs = intermediate(target, sample)
    ours = delta_e_2000_parts(sample, target)
    for mine, name in ((ours.dL, "delta_L_p"), (ours.dC, "delta_C_p"), (ours.dH, "delta_H_p")):
        np.testing.assert_allclose(mine, getattr(theirs, name), rtol=0, atol=1e-9)


@pytest.mark.parametrize(("a", "b"), [((50, 0), (50, 0)), (50.0, (50, 0, 0)), (np.zeros((2, 3)), np.zeros((3, 3)))])
def test_other_shapes_are_refused(a, b):
    with pytest.raises(InputError, match="shape"):
        delta_e_2000(a, b)
