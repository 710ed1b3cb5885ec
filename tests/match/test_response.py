"""Three numbers an option and wavelength: exact for one layer, close for more."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from stainbook.colour import delta_e_2000
from stainbook.match.layer_options import options_of, pots_of
from stainbook.match.response import response_of
from stainbook.optics.forecast import ForecastRequest
from tests.match.lab import bench_of, lab_of, start_of

WEIGHTS = np.ones((31, 3))


def true_readings(bench, start, stacks, *, glazed=True):
    return np.exp(
        bench.forecasts([ForecastRequest(start, stack, glazed, "z", WEIGHTS) for stack in stacks]).ln_reflectance
    )


@pytest.mark.parametrize("surface", ["glazed", "matt", "polished"])
@pytest.mark.parametrize("level", [0.15, 0.55, 0.8])
def test_one_layer_is_exact_on_any_body(surface, level):
    bench, start = bench_of(), start_of(level, surface=surface)
    options = options_of(list(pots_of(bench.stains, (0.0625, 0.5))), 2)
    rows = np.arange(len(options))
    response = response_of(bench, options, start_of(0.3, surface=surface).piece, glazed=True)
    expected = true_readings(bench, start, [(options.layers[i],) for i in rows])
    # the same film twice; only the rounding of a quotient of differences lies between
    np.testing.assert_allclose(response.after(start.piece, rows[:, None]), expected, rtol=0, atol=1e-9)


@pytest.mark.parametrize("surface", ["glazed", "matt"])
def test_layers_upon_layers_are_close_enough_to_steer(surface):
    bench, start = bench_of(), start_of(surface=surface)
    options = options_of(list(pots_of(bench.stains, (0.0625, 0.25, 0.5))), 2)
    rows = np.random.default_rng(1).integers(0, len(options), (300, 2))
    response = response_of(bench, options, start.piece, glazed=True)
    true = lab_of(true_readings(bench, start, [options.stack(row) for row in rows]))
    far = delta_e_2000(lab_of(response.after(start.piece, rows)), true)
    assert np.median(far) < 0.25
    assert np.quantile(far, 0.95) < 0.8


def test_no_second_layer_is_one_layer():
    bench, start = bench_of(), start_of()
    options = options_of(list(pots_of(bench.stains, (0.25,))), 1)
    response = response_of(bench, options, start.piece, glazed=True)
    one, padded = np.array([[3]]), np.array([[3, -1]])
    np.testing.assert_array_equal(response.after(start.piece, one), response.after(start.piece, padded))


@pytest.mark.parametrize("glazed", [True, False])
def test_what_soaks_in_adds_up_exactly(glazed):
    bench = bench_of(("teasel", "slate"), kind="infiltrating")
    start = start_of(surface="matt")
    options = options_of(list(pots_of(bench.stains, (0.25, 0.5))), 2)
    rows = np.array([[0, 5], [3, 2], [1, -1]])
    response = response_of(bench, options, start.piece, glazed=glazed)
    after = response.after(start.piece, rows)
    for row, own in zip(rows, after, strict=True):
        expected = true_readings(bench, start, [options.stack(row)], glazed=glazed)[0]
        np.testing.assert_allclose(own, expected, rtol=0, atol=1e-9)


def test_a_stronger_lot_counts():
    bench = bench_of(("husk",))
    strong = replace(bench, hands=replace(bench.hands, lots={"husk": ("24-117", 0.3, 0.0)}))
    options = options_of(list(pots_of(("husk",), (0.25,))), 1)
    start, row = start_of(), np.array([[0]])
    plain = response_of(bench, options, start.piece, glazed=True).after(start.piece, row)
    assert response_of(strong, options, start.piece, glazed=True).after(start.piece, row).sum() < plain.sum()
