"""Amounts of chips that another hand or jar made have a part in common; alike ones are as they were."""

import numpy as np
import pytest

from stainbook.optics.unlike import Unlike, hand_spread

SD = np.array([[0.1, 0.2], [0.1, 0.1]])
BOTH = (Unlike(0, "operator b", 0.18), Unlike(1, "operator b", 0.18))


def test_chips_made_alike_scatter_each_on_its_own():
    spread = hand_spread(SD, [(), ()])
    assert spread.covariance == pytest.approx(np.diag([0.01, 0.04, 0.01, 0.01]), abs=1e-15)
    hand, covariance = np.array([0.1, -0.2, 0.05, 0.0]), 0.002 * np.eye(4)
    own, left = spread.own_part(hand, covariance)
    assert own == pytest.approx(hand, abs=1e-12)
    np.testing.assert_allclose(left, covariance, rtol=0, atol=1e-12)


def test_what_is_shared_goes_up_and_down_together():
    spread = hand_spread(SD, [BOTH, (Unlike(0, "operator b", 0.18),)])
    shared = [(0, 1), (0, 2), (1, 2)]
    assert [spread.covariance[pair] for pair in shared] == pytest.approx([0.18**2] * 3, abs=1e-15)
    assert spread.covariance[3] == pytest.approx([0.0, 0.0, 0.0, 0.01], abs=1e-15)
    assert spread.precision @ spread.covariance == pytest.approx(np.eye(4), abs=1e-9)


def test_a_strong_hand_is_no_scatter():
    """Ten chips that are all 0.2 more: their own part is hardly any of it."""
    spread = hand_spread(np.full((10, 1), 0.1), [(Unlike(0, "operator b", 0.18),)] * 10)
    own, _ = spread.own_part(np.full(10, 0.2), np.zeros((10, 10)))
    expected = 0.2 * 0.1**2 / (0.1**2 + 10 * 0.18**2)  # the mean of a level and ten scatters about it
    assert own == pytest.approx(np.full(10, expected), abs=1e-9)


def test_the_own_part_keeps_its_variance_where_a_fit_says_nothing():
    """Hand left as wide as it was expected: the own part is as wide as a layer's own scatter."""
    spread = hand_spread(SD, [BOTH, (Unlike(0, "operator b", 0.18),)])
    _, left = spread.own_part(np.zeros(4), spread.covariance)
    np.testing.assert_allclose(left, np.diag(spread.own), rtol=0, atol=1e-12)
