"""Outlines suggested on rendered teeth lie where these are; where that is not sure nothing is suggested, and why."""

import re

import cv2
import numpy as np
import pytest

from stainbook.photo.picture import Picture
from stainbook.photo.rough import rough
from stainbook.photo.suggest import grown, suggest
from tests.worlds.photo_accuracy import target_of
from tests.worlds.photo_spectra import family
from tests.worlds.photo_teeth import TEETH, render_row

THIRDS = ("cervical", "middle", "incisal")


def view_of(row, which="test", change=None):
    pixels = row.pixels if change is None else change(row.pixels)
    return rough(Picture(pixels, "linear"), row.corners, target_of(family(which)))


def mask_of(outline, like):
    return cv2.fillPoly(np.zeros(like.shape, np.uint8), [np.round(outline).astype(np.int32)], 1).astype(bool)


def centre(mask):
    return np.array(np.nonzero(mask)).mean(axis=1)


@pytest.fixture(scope="module")
def row():
    return render_row(3)


@pytest.mark.parametrize(("which", "seed"), [("test", 0), ("test", 1), ("test", 2), ("tune", 3), ("tune", 4)])
def test_thirds_and_gum_are_found_on_teeth_under_any_camera(which, seed):
    row = render_row(seed, which)
    found = suggest(view_of(row, which), list(row.zones))
    assert set(found.zones) == set(row.zones)
    assert found.why == ()
    for key, outline in found.zones.items():
        truth = row.zones[key]
        mask = mask_of(outline, truth)
        assert (mask & truth).sum() > 0.95 * mask.sum(), key  # nothing of another zone
        assert mask.sum() > (0.4 if key[1] in THIRDS else 0.15) * truth.sum(), key  # and enough of this one
        assert np.linalg.norm(centre(mask) - centre(truth)) < 12, key  # pixels; a third is about 40 high


def test_a_picture_of_another_size_gives_the_same_places(row):
    large = cv2.resize(row.pixels, None, fx=3, fy=3, interpolation=cv2.INTER_LINEAR)
    view = rough(Picture(large, "linear"), row.corners * 3 + 1, target_of(family("test")))
    small, big = suggest(view_of(row), [(11, "middle")]), suggest(view, [(11, "middle")])
    assert small.zones == big.zones == {}  # one tooth is asked for, four are seen
    small, big = (suggest(one, list(row.zones)) for one in (view_of(row), view))
    for key, outline in small.zones.items():
        there = big.zones[key]
        assert (
            np.abs((outline.min(axis=0) + outline.max(axis=0)) * 3 + 2 - there.min(axis=0) - there.max(axis=0)).max()
            < 24
        )


@pytest.mark.parametrize(
    ("made", "wanted", "change", "words"),
    [
        ({"gap": -8.0}, None, None, "proportions|run together"),  # crowded: they overlap
        ({}, TEETH[:3], None, "4 teeth stand out clearly in the picture, 3 are asked for"),
        ({}, None, lambda pixels: cv2.GaussianBlur(pixels, (0, 0), 14), "0 teeth"),
        ({}, (41, 42, 31, 32), None, "other side"),
        ({}, (11, 41), None, "one jaw"),
    ],
)
def test_what_is_not_sure_is_not_suggested(made, wanted, change, words):
    row = render_row(1, **made)
    asked = list(row.zones) if wanted is None else [(tooth, "middle") for tooth in wanted]
    found = suggest(view_of(row, change=change), asked)
    assert found.zones == {}
    assert re.search(words, " ".join(found.why)), found.why


def test_teeth_before_a_ground_of_their_own_colour_are_not_told():
    row = render_row(2, gum=False)
    painted = row.pixels.copy()
    inside = row.zones[11, "middle"]
    hidden = ~np.logical_or.reduce(list(row.zones.values())) & (np.indices(inside.shape)[1] > 380)
    painted[hidden] = np.median(row.pixels[inside], axis=0)
    found = suggest(view_of(row, change=lambda _: painted), [(tooth, "middle") for tooth in TEETH])
    assert found.zones == {}


def test_gum_that_is_not_there_is_not_suggested_and_named():
    row = render_row(1, gum=False)
    found = suggest(view_of(row), list(row.zones))
    assert {zone for _, zone in found.zones} == set(THIRDS)
    assert "11 margin: not told reliably" in found.why


def test_an_outline_grows_from_a_tap_over_its_tooth_and_no_further(row):
    view = view_of(row)
    for tooth in TEETH:
        crown = np.logical_or.reduce([row.zones[tooth, third] for third in THIRDS])
        y, x = centre(row.zones[tooth, "cervical"])
        mask = mask_of(grown(view, np.array([x, y])), crown)
        assert (mask & crown).sum() > 0.97 * mask.sum()
        assert mask.sum() > 0.7 * crown.sum()


@pytest.mark.parametrize(
    ("tap", "words"), [((200.0, 200.0), "runs on"), ((100.0, 400.0), "not even"), ((-5.0, 3.0), "outside")]
)
def test_a_tap_on_nothing_in_particular_grows_nothing(row, tap, words):
    assert words in grown(view_of(row), np.array(tap))
