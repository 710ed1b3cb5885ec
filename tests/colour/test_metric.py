from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from stainbook.colour import delta_e_2000, delta_e_2000_metric, delta_e_2000_radius
from tests.colour.strategies import COLOUR

STEP = st.tuples(*[st.floats(-1, 1)] * 3)


@given(COLOUR, STEP)
def test_small_steps_have_the_length_that_the_metric_says(lab, direction):
    lab, d = np.array(lab), np.array(direction) * 1e-4
    assume(np.linalg.norm(d) > 1e-6)
    assume(np.hypot(lab[1], lab[2]) > 0.1)  # nearer to grey than that, the hue turns within the step
    assume(abs(lab[2]) > 1e-3 or lab[1] < 0)  # R_T has its own step at a hue of 0°
    expected = np.sqrt(d @ delta_e_2000_metric(lab) @ d)
    assert delta_e_2000(lab - d / 2, lab + d / 2) == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize("d", [(1e-3, 0, 0), (0, 1e-3, 0), (0, 0, 1e-3), (0, 1e-3, -1e-3)])
def test_on_the_neutral_axis(d):
    d = np.array(d)
    expected = np.sqrt(d @ delta_e_2000_metric([60, 0, 0]) @ d)
    assert delta_e_2000([60, 0, 0], np.array([60, 0, 0]) + d) == pytest.approx(expected, rel=1e-3)


@given(COLOUR, st.floats(0.5, 2), st.floats(0.5, 2), st.floats(0.5, 2))
def test_symmetric_and_positive(lab, kL, kC, kH):
    metric = delta_e_2000_metric(lab, kL=kL, kC=kC, kH=kH)
    np.testing.assert_array_equal(metric, metric.T)
    assert np.linalg.eigvalsh(metric)[0] > 0


def test_weights_divide():
    plain, halved = delta_e_2000_metric([70, 2, 15]), delta_e_2000_metric([70, 2, 15], kL=2.0, kC=2.0, kH=2.0)
    np.testing.assert_allclose(halved, plain / 4, rtol=1e-12)


def test_grids_keep_their_shape():
    assert delta_e_2000_metric(np.full((2, 5, 3), 40.0)).shape == (2, 5, 3, 3)


@pytest.mark.parametrize("probability", [0.8, 0.9, 0.95, 0.99])
def test_the_radius_holds_the_share_that_it_claims(probability):
    rng = np.random.default_rng(8)
    for lab in ([72, 1, 16], [50, 23, 15], [80, -1, 8]):
        shape = rng.normal(size=(3, 3)) * rng.uniform(0.02, 0.4, 3)
        covariance = shape @ shape.T
        draws = rng.multivariate_normal(lab, covariance, 20_000)
        held = np.mean(delta_e_2000(lab, draws) <= delta_e_2000_radius(lab, covariance, probability=probability))
        assert held == pytest.approx(probability, abs=0.02)  # chi-square approximation, curvature and 20,000 draws


def test_no_doubt_no_radius():
    np.testing.assert_array_equal(delta_e_2000_radius(np.full((2, 3), 50.0), np.zeros((2, 3, 3))), [0.0, 0.0])
