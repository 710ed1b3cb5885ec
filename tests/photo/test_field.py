"""The light over the frame from a grey card."""

import numpy as np
import pytest

from stainbook.errors import InputError
from stainbook.photo.field import light_field
from stainbook.photo.picture import Picture


def frame(height=300, width=400, level=0.4, fall=0.25):
    v, u = np.mgrid[0:height, 0:width] / [[[height]], [[width]]] - 0.5
    light = 1 + fall * (0.5 * u - v**2 - u**2)
    grain = 1 + np.random.default_rng(1).normal(0, 0.01, (height, width, 1))
    return light, Picture(
        np.round(level * light[..., None] * grain * [60000, 65000, 40000]).astype(np.uint16), "linear"
    )


def test_the_light_is_found_to_less_than_a_percent():
    light, shot = frame()
    found = light_field(shot, (400, 300)).over((0, 0, 400, 300)).mean(axis=-1)
    ratio = found / light
    assert np.abs(ratio / ratio.mean() - 1)[8:-8, 8:-8].max() < 0.007


def test_it_serves_pictures_of_another_size_but_the_same_shape():
    light, shot = frame()
    found = light_field(shot, (800, 600)).over((0, 0, 800, 600), step=2).mean(axis=-1)
    ratio = found / light
    assert np.abs(ratio / ratio.mean() - 1)[8:-8, 8:-8].max() < 0.008
    with pytest.raises(InputError, match="shape"):
        light_field(shot, (300, 400))


@pytest.mark.parametrize(("level", "words"), [(0.01, "too dark"), (1.4, "clipped")])
def test_a_frame_that_says_nothing_is_refused(level, words):
    height, width = 300, 400
    pixels = np.full((height, width, 3), min(level, 1.0) * 65535).astype(np.uint16)
    with pytest.raises(InputError, match=words):
        light_field(Picture(pixels, "linear"), (width, height))
