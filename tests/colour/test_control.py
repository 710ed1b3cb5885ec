"""The control chart of an instrument."""

import numpy as np
import pytest

from stainbook.colour.control import BASELINE, RUN, TREND, USUAL_SD, control_chart

RNG = np.random.default_rng(11)
AT = np.array([72.0, 1.0, 14.0])


def steady(n):
    return AT + np.asarray(USUAL_SD) * RNG.standard_normal((n, 3))


def test_a_steady_instrument_seldom_signals():
    """Of 100 charts of 20 weeks; single points beyond three sigma of three axes: about 1 in 100 readings."""
    signals = [bool(one) for _ in range(100) for one in control_chart(steady(20)).signals]
    assert np.mean(signals) < 0.05


def test_a_jump_is_told_at_once():
    lab = np.vstack([steady(BASELINE), steady(1) + np.array([1.5, 0, 0])])
    chart = control_chart(lab)
    assert chart.signals[-1] == ["L* beyond three sigma"]


def test_a_small_shift_is_told_by_a_run():
    wave = 0.1 * np.where(np.arange(BASELINE) % 2, -1.0, 1.0)[:, None]
    lab = np.vstack([AT + wave, np.tile(AT + np.array([0, 0.3, 0]), (RUN, 1))])
    assert f"a* {RUN} in a row on one side" in control_chart(lab).signals[-1]
    assert f"a* {RUN} in a row on one side" not in control_chart(lab).signals[-2]


def test_a_lamp_that_ages_is_told_by_its_trend():
    falling = AT - np.outer(np.arange(TREND), [0.1, 0, 0])
    lab = np.vstack([AT + np.array([[0.2, 0, 0], [-0.2, 0, 0], [0.2, 0, 0]]), falling])
    assert f"L* {TREND} in a row falling" in control_chart(lab).signals[-1]


def test_later_readings_do_not_move_the_centre():
    base = steady(BASELINE)
    first, more = control_chart(base), control_chart(np.vstack([base, steady(5) + 3]))
    assert first.centre.tolist() == more.centre.tolist()
    assert first.sigma.tolist() == more.sigma.tolist()


def test_two_readings_are_no_chart():
    with pytest.raises(ValueError, match="n from 3"):
        control_chart(steady(2))
