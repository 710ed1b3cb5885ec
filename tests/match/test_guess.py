"""The quick guess of odds against drawing."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stainbook.match.frame import frame_of
from stainbook.match.guess import chance_within, diverse, option_doubt, top
from stainbook.match.layer_options import options_of, pots_of
from stainbook.records import Viewing
from tests.match.lab import bench_of, start_of

COVARIANCES = {
    "round": 0.3 * np.eye(3),
    "flat": np.diag([0.5, 0.2, 0.01]),
    "long": np.diag([0.64, 0.04, 0.02]),
}


@pytest.mark.parametrize("shape", COVARIANCES)
@pytest.mark.parametrize("step", [(0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.8, 0.0), (1.0, 1.0, 2.0)])
def test_chance_is_that_of_drawing(shape, step):
    covariance = COVARIANCES[shape]
    drawn = np.random.default_rng(0).multivariate_normal(step, covariance, 100_000)
    share = (np.linalg.norm(drawn, axis=1) <= 1.8).mean()
    # two moments stand for the whole distribution, and a logistic for the normal: good to 0.05
    assert chance_within(np.array([step]), covariance[None], 1.8)[0] == pytest.approx(share, abs=0.05)


@settings(deadline=None)
@given(st.floats(0.1, 4.0), st.floats(0.0, 3.0), st.floats(0.01, 1.0))
def test_chance_grows_with_the_limit(limit, distance, variance):
    step, covariance = np.array([[distance, 0.0, 0.0]]), variance * np.eye(3)[None]
    assert chance_within(step, covariance, limit)[0] <= chance_within(step, covariance, limit + 0.2)[0] + 1e-9


def test_more_coats_of_a_weaker_pot_are_surer_and_stains_without_chips_less_sure():
    weights = frame_of((70.0, 2.0, 18.0), Viewing()).weights
    options = options_of(list(pots_of(("husk",), (0.25, 0.5))), 2)
    known = option_doubt(bench_of(("husk",)), options, start_of(), weights)
    strong, weak_twice = options.layers.index(options.layers[2]), 1
    assert (options.layers[strong].coats, options.layers[weak_twice].coats) == (1, 2)
    assert known.amount[weak_twice] < known.amount[strong]
    bench = bench_of(("husk",))
    bench.optics.stains.clear()
    guessed = option_doubt(bench, options, start_of(), weights)
    assert np.all(np.trace(guessed.unlearnt, axis1=1, axis2=2) > 10 * np.trace(known.unlearnt, axis1=1, axis2=2))


def test_top_is_the_sorted_head():
    scores = np.random.default_rng(2).permutation(500) / 500.0
    np.testing.assert_array_equal(top(scores, 20), np.argsort(-scores)[:20])
    assert list(top(np.array([1.0, 3.0, 2.0]), 9)) == [1, 2, 0]


def test_diverse_takes_a_few_of_each_kind_and_fills_up_in_order():
    assert diverse("aaabac", 4, 2) == [0, 1, 3, 5]
    assert diverse("aaaa", 3, 1) == [0, 1, 2]
