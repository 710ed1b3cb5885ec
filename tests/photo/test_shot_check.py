"""A test shot: exposure, glare, focus and evenness are told apart."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from stainbook.photo.field import LightField
from stainbook.photo.picture import Picture
from stainbook.photo.shot_check import BINS, check_shot, edge_width
from tests.worlds.photo_accuracy import picture_of, target_of
from tests.worlds.photo_scenes import as_uint16, cells


def test_a_good_shot(clean):
    found = check_shot(picture_of(clean, "linear"), clean.corners, target_of(clean.world))
    assert 0.4 < found.white < 0.95
    assert (found.clipped, found.glints, found.patches, found.uneven) == (0.0, 0, 24, None)
    assert found.blur < 0.05
    assert len(found.histogram) == BINS
    assert sum(found.histogram) == pytest.approx(1.0)


def test_a_dark_shot_says_so(clean):
    dim = Picture(as_uint16(clean.raw * 0.3), "linear")
    full, dark = (check_shot(one, clean.corners, target_of(clean.world)) for one in (picture_of(clean, "linear"), dim))
    assert dark.white == pytest.approx(0.3 * full.white, rel=0.01)
    assert sum(dark.histogram[BINS // 2 :]) == 0.0


@pytest.mark.parametrize("sigma", [2.0, 4.0])
def test_the_width_of_edges_follows_a_blur(clean, sigma):
    """10 to 90 % of a Gaussian edge are 2.56 standard deviations; the gap beside a patch cuts the tail of it off."""
    soft = Picture(as_uint16(cv2.GaussianBlur(clean.raw, (0, 0), sigma)), "linear")
    patch = np.linalg.norm(cells(clean.corners)[0][1] - cells(clean.corners)[0][0])
    width = edge_width(soft, clean.corners, target_of(clean.world)) * patch
    assert 0.5 * 2.56 * sigma < width < 1.1 * 2.56 * sigma


def test_glare_is_counted(clean):
    shining = clean.raw.copy()
    (x0, y0), (x1, y1) = np.round(cells(clean.corners)[9][[0, 2]]).astype(int)
    shining[y0 : (y0 + y1) // 2, x0:x1] = 1.0
    shining[:40] = 1.0
    found = check_shot(Picture(as_uint16(np.clip(shining, 0, 1)), "linear"), clean.corners, target_of(clean.world))
    assert found.clipped == pytest.approx(0.1, abs=0.01)
    assert found.glints == 1


def test_the_grey_frame_tells_how_even_the_light_is_and_no_target_how_little_is_known(clean):
    light = LightField(np.linspace(0.8, 1.2, 12)[None, :, None] * np.ones((8, 12, 3)), (600, 400))
    found = check_shot(picture_of(clean, "linear"), None, replace(target_of(clean.world)), light)
    assert found.uneven == pytest.approx(1.5)
    assert (found.white, found.blur, found.patches) == (None, None, 0)
