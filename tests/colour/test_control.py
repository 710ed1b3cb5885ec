"""The control chart of an instrument."""

from pathlib import Path

import numpy as np
import pytest
from scipy.stats import norm

from stainbook.colour.control import (
    BASELINE,
    DRIFT,
    MEAN_RANGE,
    USUAL_SD,
    WEIGHT,
    control_chart,
    moving_mean,
)

PUBLISHED = Path(__file__).parents[1] / "published" / "control_charts.csv"
RNG = np.random.default_rng(11)
AT = np.array([72.0, 1.0, 14.0])


def steady(n):
    return AT + np.asarray(USUAL_SD) * RNG.standard_normal((n, 3))


def moments_of_the_range(n):
    """Mean and standard deviation of the range of n standard normal readings, by the density of its ends."""
    x = np.linspace(-8.0, 8.0, 1601)
    low, high = np.meshgrid(x, x, indexing="ij")
    between = np.maximum(norm.cdf(high) - norm.cdf(low), 0.0)
    density = n * (n - 1) * norm.pdf(low) * norm.pdf(high) * between ** (n - 2) * (high > low)
    weight = density / density.sum()
    mean = float((weight * (high - low)).sum())
    return mean, float(np.sqrt((weight * (high - low) ** 2).sum() - mean**2))


def test_the_mean_range_is_the_published_one():
    rows = np.loadtxt(PUBLISHED, delimiter=",", skiprows=6)
    assert rows[0][1] == MEAN_RANGE
    assert pytest.approx(2.0 / np.sqrt(np.pi), abs=5e-4) == MEAN_RANGE
    assert pytest.approx(2.660, abs=1e-3) == 3.0 / MEAN_RANGE  # three sigma in mean moving ranges


def test_the_published_factors_are_the_moments_of_the_range():
    for n, middle, spread, upper in np.loadtxt(PUBLISHED, delimiter=",", skiprows=6):
        mean, sd = moments_of_the_range(int(n))
        assert (mean, sd) == pytest.approx((middle, spread), abs=0.006 if n == 2 else 0.0015)  # 2: the grid
        assert pytest.approx(upper, abs=0.003) == 1.0 + 3.0 * spread / middle


def test_the_limits_of_the_moving_mean_give_the_published_run():
    """Weight 0.2 and 2.962 sigmas: one false alarm in 500 readings of one axis (Lucas, Saccucci 1990, from memory)."""
    reach = DRIFT * np.sqrt(WEIGHT / (2.0 - WEIGHT))
    edges = np.linspace(-reach, reach, 202)
    middles = 0.5 * (edges[1:] + edges[:-1])
    away = (edges[None] - (1.0 - WEIGHT) * middles[:, None]) / WEIGHT
    steps = np.diff(norm.cdf(away), axis=1)  # a Markov chain of the mean (Brook, Evans 1972)
    run = np.linalg.solve(np.eye(len(middles)) - steps, np.ones(len(middles)))
    assert run[len(run) // 2] == pytest.approx(500.0, rel=0.02)


def test_a_steady_instrument_seldom_signals():
    """3 % of the readings and the first false alarm at 71 in the median, of 400; 8.4 % and 24 by the old rules."""
    charts = [control_chart(steady(120)).signals for _ in range(40)]
    assert np.mean([bool(one) for chart in charts for one in chart]) < 0.05
    first = [next((i for i, one in enumerate(chart) if one), 120) for chart in charts]
    assert np.median(first) > 40


def test_a_jump_is_told_at_once():
    lab = np.vstack([steady(BASELINE), steady(1) + np.array([1.8, 0, 0])])
    assert "L* beyond 3.3 sigma" in control_chart(lab).signals[-1]


def test_a_small_shift_is_told_within_a_dozen_readings():
    found = []
    for _ in range(40):
        chart = control_chart(np.vstack([steady(BASELINE), steady(60) + np.array([0, 0.3, 0])]))
        found.append(next((i for i, one in enumerate(chart.signals[BASELINE:]) if "a* has drifted up" in one), 60))
    assert np.median(found) < 12  # of one and a half sigma; a run of eight takes eight at least


def test_nothing_drifts_within_the_baseline():
    away = np.ones((BASELINE + 5, 3))
    assert not moving_mean(away, BASELINE)[:BASELINE].any()
    assert np.all(np.diff(moving_mean(away, BASELINE)[BASELINE:], axis=0) > 0)


def test_a_lamp_that_ages_is_told():
    falling = AT - np.outer(np.arange(12), [0.1, 0, 0])
    wave = 0.2 * np.where(np.arange(BASELINE) % 2, -1.0, 1.0)[:, None]
    assert "L* has drifted down" in control_chart(np.vstack([AT + wave, falling])).signals[-1]


def test_later_readings_do_not_move_the_centre():
    base = steady(BASELINE)
    first, more = control_chart(base), control_chart(np.vstack([base, steady(5) + 3]))
    assert first.centre.tolist() == more.centre.tolist()
    assert first.sigma.tolist() == more.sigma.tolist()


def test_two_readings_are_no_chart():
    with pytest.raises(ValueError, match="n from 3"):
        control_chart(steady(2))
