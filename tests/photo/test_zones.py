"""Pixels of a zone: what shines, clips or is dark is left out."""

import numpy as np
import pytest

from stainbook.photo.photo_zones import zone_mean
from stainbook.photo.picture import Picture

BODY = np.array([0.42, 0.36, 0.28])
WHOLE = [[-0.5, -0.5], [59.5, -0.5], [59.5, 59.5], [-0.5, 59.5]]


def picture(linear):
    return Picture(np.round(np.clip(linear, 0, 1) * 65535).astype(np.uint16), "linear")


def body(rng=None, shade=0.0):
    v = np.linspace(-1, 1, 60)
    plane = (1 + shade * v)[:, None, None] * np.ones((60, 60, 1)) * BODY
    return plane if rng is None else plane * (1 + rng.normal(0, 0.01, (60, 60, 1)))


def spot(size, height, centre=(0.2, -0.3)):
    v, u = np.mgrid[0:60, 0:60] / 29.5 - 1
    return (height * np.exp(-((u - centre[0]) ** 2 + (v - centre[1]) ** 2) / size**2))[..., None]


def test_an_even_zone_is_its_colour():
    found = zone_mean(picture(body()), WHOLE)
    np.testing.assert_allclose(found.rgb, BODY, atol=1e-5)
    assert (found.pixels, found.masked, found.flagged) == (3600, 0.0, False)


@pytest.mark.parametrize("height", [0.3, 1.0, 4.0])
@pytest.mark.parametrize("size", [0.1, 0.25])
def test_a_highlight_is_left_out(size, height):
    linear = body(np.random.default_rng(1), shade=0.05) + spot(size, height)
    found = zone_mean(picture(linear), WHOLE)
    assert np.abs(np.log(found.rgb / BODY)).max() < 0.008  # a plain mean is 1 to 20 % off
    assert 0.0 < found.masked < 0.6
    assert not found.flagged


@pytest.mark.parametrize("depth", [0.0, 0.03, 0.06])
def test_a_round_zone_stands_for_its_middle(depth):
    """Edges that turn away from the lamps made pieces up to 3 % too dark; the bow of the light tells by how much."""
    v, u = np.mgrid[0:60, 0:60] / 29.5 - 1
    rng = np.random.default_rng(2)
    linear = body(rng) * (1 - depth * (u**2 + 0.5 * v**2))[..., None] + spot(0.2, 1.0)
    flat, middle = (np.log(zone_mean(picture(linear), WHOLE, rounded=on).rgb / BODY).mean() for on in (False, True))
    assert abs(middle) < 0.004
    assert abs(flat + depth / 2) < 0.006


def test_a_zone_mostly_under_glare_is_flagged():
    found = zone_mean(picture(body(np.random.default_rng(1)) + spot(0.9, 2.5)), WHOLE)
    assert found.flagged


def test_a_broad_haze_is_flagged_though_nothing_clips():
    found = zone_mean(picture(body(np.random.default_rng(1)) + spot(0.8, 0.4)), WHOLE)
    assert found.clipped == 0.0
    assert found.flagged


def test_shadow_and_grain_are_no_reason_to_flag():
    linear = body(np.random.default_rng(2), shade=0.3)
    linear[:6] *= 0.005
    found = zone_mean(picture(linear), WHOLE)
    assert not found.flagged
    assert 0.09 < found.masked < 0.14


def test_few_pixels_are_flagged_and_none_are_none():
    small = zone_mean(picture(body()), [[10, 10], [12, 10], [12, 12]])
    assert small.flagged
    away = zone_mean(picture(body()), [[100, 100], [120, 100], [120, 120]])
    assert (away.pixels, away.flagged) == (0, True)


def test_a_large_zone_is_looked_at_thinly_and_gives_the_same():
    rng = np.random.default_rng(3)
    linear = np.kron(body(), np.ones((8, 8, 1))) * (1 + rng.normal(0, 0.02, (480, 480, 1)))
    outline = 8 * np.asarray(WHOLE)
    thin, thick = (zone_mean(picture(linear), outline, most_pixels=most) for most in (3000, 10**6))
    np.testing.assert_allclose(thin.rgb, thick.rgb, rtol=0.002)  # grain of 2 % over some 3,000 pixels
    assert abs(thin.pixels - thick.pixels) < 0.02 * thick.pixels
