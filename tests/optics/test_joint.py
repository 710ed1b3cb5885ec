"""Several zones of one firing at once: their joint doubt, and what those that were read tell of the others."""

from dataclasses import replace

import numpy as np
import pytest

from stainbook.match.frame import frame_of
from stainbook.optics.forecast import ForecastRequest
from stainbook.records import Layer, Pot, Viewing
from tests.match.lab import bench_of, start_of

FRAME = frame_of((70.0, 2.0, 18.0), Viewing())
STACK = (Layer(Pot.of({"husk": 0.5}), 2),)
ZONES = ("11 cervical", "11 middle", "21 cervical", "21 middle")


def whole(weights=FRAME.weights, **hands):
    bench = bench_of()
    bench = replace(bench, hands=replace(bench.hands, **hands))
    stacks = (STACK, STACK, (), (Layer(Pot.of({"teasel": 0.25}), 1),))
    asked = [
        ForecastRequest(start_of(0.5 + 0.03 * i, name=zone), stack, True, zone, weights)
        for i, (zone, stack) in enumerate(zip(ZONES, stacks, strict=True))
    ]
    return bench.forecasts(asked)


@pytest.mark.parametrize("weights", [FRAME.weights, None])
def test_the_joint_doubt_is_that_of_each_and_what_they_share(weights):
    found = whole(weights)
    n, d = found.mean.shape
    joint = found.joint().reshape(n, d, n, d)
    for i, own in enumerate(found.covariance()):
        np.testing.assert_allclose(joint[i, :, i], own, rtol=1e-9, atol=1e-15)
    np.testing.assert_allclose(found.joint(), found.joint().T, rtol=0, atol=1e-15)
    # one stain, one firing of 3 % and a hand of its own each: 0.15 and 0.20 (0.2 and more with firings of 5 %)
    assert 0.1 < joint[0, 1, 1, 1] / joint[0, 1, 0, 1] < 0.4
    assert np.abs(joint[0, :, 2]).max() < 1e-12  # nothing was painted there


def test_draws_scatter_as_the_joint_doubt_says():
    found = whole()
    drawn = np.cov(found.draw(20_000).transpose(1, 0, 2).reshape(20_000, -1).T)
    scale = np.sqrt(np.outer(np.diag(found.joint()), np.diag(found.joint())))
    np.testing.assert_allclose(drawn / scale, found.joint() / scale, rtol=0, atol=0.05)


def test_a_heavy_firing_seen_in_one_zone_is_expected_in_the_others():
    found = whole(firing=0.2, scatter=0.02)
    heavy = whole(operator_ln=(0.2, 0.0)).mean
    noise = 1e-6 * np.eye(3)[None]
    mean, joint = found.given([0], heavy[:1], noise)
    np.testing.assert_allclose(mean[0], heavy[0], rtol=0, atol=0.005)
    way, moved = heavy - found.mean, mean - found.mean
    for zone in (1, 3):
        share = float(moved[zone] @ way[zone] / (way[zone] @ way[zone]))
        assert 0.6 < share < 1.05, ZONES[zone]
    np.testing.assert_allclose(moved[2], 0.0, atol=1e-9)
    before = found.joint()
    assert np.all(np.diag(joint) <= np.diag(before) + 1e-12)
    assert np.trace(joint[3:6, 3:6]) < 0.5 * np.trace(before[3:6, 3:6])


def test_nothing_read_and_readings_worth_nothing_change_nothing():
    found = whole()
    for read, noise in (([], np.zeros((0, 3, 3))), ([0], 1e9 * np.eye(3)[None])):
        mean, joint = found.given(read, found.mean[read] + 0.1, noise)
        np.testing.assert_allclose(mean, found.mean, rtol=0, atol=1e-9)
        np.testing.assert_allclose(joint, found.joint(), rtol=0, atol=1e-9)


def test_the_order_of_what_was_read_does_not_matter():
    found = whole()
    noise = 1e-5 * np.eye(3)
    seen = found.mean + np.random.default_rng(4).normal(0.0, 0.02, found.mean.shape)
    one = found.given([0, 1, 3], seen[[0, 1, 3]], np.array([noise] * 3))
    other = found.given([3, 0, 1], seen[[3, 0, 1]], np.array([noise] * 3))
    for a, b in zip(one, other, strict=True):
        np.testing.assert_allclose(a, b, rtol=0, atol=1e-12)
