"""The scatter of hands in worlds that are as linear as the model, where theory says how well it can be known."""

import numpy as np
import pytest

from stainbook.match.factors import Scatter
from stainbook.match.scatter import BETWEEN, Rows, firings_scored, hands_scored, lab_scatter, normal_equations

UNKNOWNS = 6


def learnt(truth, outcomes, *, seed, chips=0.12, prior=1.0):
    """Scatters of hands after so many outcomes each, with unknowns that all outcomes share learnt beside them."""
    rng = np.random.default_rng(seed)
    shared = prior * rng.standard_normal(UNKNOWNS)
    normal, right, rows = np.eye(UNKNOWNS) / prior**2, np.zeros(UNKNOWNS), []
    for hand, scatter in enumerate(truth):
        for _ in range(outcomes):
            slopes, amounts = rng.standard_normal((31, UNKNOWNS)), 12.0 * rng.standard_normal((31, 2))
            residual = slopes @ shared + amounts @ (scatter * rng.standard_normal(2)) + rng.standard_normal(31)
            normal, right = normal + slopes.T @ slopes, right + slopes.T @ residual
            rows.append(Rows.of(slopes, residual, amounts, hand))
    hands = [Scatter(str(i), float(np.log(chips)), BETWEEN, BETWEEN) for i in range(len(truth))]
    together = Rows.together(rows)
    for _ in range(12):
        left, side = normal_equations(normal, right, together, hands)
        covariance = np.linalg.inv(left)
        hands = hands_scored(hands, together, covariance @ side, covariance, chips=chips, own_hand=None)
    return hands


def test_hands_of_7_12_and_30_percent_are_found_as_well_as_so_many_layers_can_tell():
    truth = np.array([0.07, 0.12, 0.30])
    off = np.array(
        [np.log([one.scatter for one in learnt(truth, 40, seed=s)]) - np.log(truth) for s in range(60)]
    )  # 80 layers a hand
    assert np.abs(off.mean(axis=0)).max() < 0.05  # no bias beyond what the pull towards the lab's leaves
    assert np.sqrt(np.mean(off**2)) < 1.3 / np.sqrt(2 * 80)  # the theory's 0.079, some of it lost to the noise


def test_its_interval_holds_in_95_of_100():
    truth = 0.12 * np.exp(0.3 * np.random.default_rng(1).standard_normal((60, 3)))
    held = [
        one.interval[0] <= true <= one.interval[1]
        for seed, some in enumerate(truth)
        for one, true in zip(learnt(some, 10, seed=seed), some, strict=True)
    ]
    assert 0.90 < np.mean(held) < 0.99  # 180 intervals of 95 %: ± 0.03


def test_few_outcomes_leave_a_hand_near_the_lab():
    (one,) = learnt([0.5], 1, seed=3)
    assert 0.12 < one.scatter < 0.35
    assert one.sd > 0.2


def test_many_unknowns_do_not_make_a_hand_look_steady():
    """Three outcomes and six unknowns of which nothing is known: an ordinary fit would follow each outcome."""
    found = [learnt([0.3] * 2, 4, seed=s, prior=0.3)[0].ln for s in range(60)]
    assert np.mean(found) > np.log(0.2)


def test_the_lab_is_the_mean_over_its_hands():
    hands = [Scatter("a", float(np.log(0.08)), 0.1, 0.4), Scatter("b", float(np.log(0.27)), 0.1, 0.4)]
    assert lab_scatter(hands, 0.125, "c") == pytest.approx((0.08 * 0.27 * 0.125) ** (1 / 3))
    assert lab_scatter(hands, 0.5, "b") == pytest.approx((0.08 * 0.27) ** (1 / 2))  # its outcomes say more than chips


def test_firings_that_differ_much_are_noticed():
    amounts = 0.15 * np.random.default_rng(0).standard_normal(80)
    scatter = 0.05
    for _ in range(20):
        scatter = firings_scored(scatter, amounts, np.full(80, 1e-6), 0.05)
    assert scatter == pytest.approx(0.15, rel=0.15)  # 80 firings: 8 % at one standard deviation
