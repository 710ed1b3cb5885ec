"""Patches that cannot be trusted are dropped and named; the target is found by itself."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from stainbook.errors import InputError
from stainbook.photo.detect import find_target
from stainbook.photo.measure import measure
from stainbook.photo.picture import Picture
from stainbook.photo.refine import refined
from stainbook.photo.target import read_patches
from tests.worlds.photo_accuracy import picture_of, target_of
from tests.worlds.photo_scenes import Scene, as_uint16, cells


def spoiled(scene: Scene, patch: int, change) -> Picture:
    """The scene as a linear file with one patch changed."""
    linear = scene.raw.copy()
    (x0, y0), (x1, y1) = np.round(cells(scene.corners)[patch][[0, 2]]).astype(int)
    linear[y0:y1, x0:x1] = change(linear[y0:y1, x0:x1])
    return Picture(as_uint16(np.clip(linear, 0, 1)), "linear")


def half_shaded(patch):
    shaded = patch.copy()
    shaded[:, : patch.shape[1] // 2] *= 0.6
    return shaded


def glint(patch):
    shining = patch.copy()
    shining[: int(patch.shape[0] * 0.55)] += 0.3
    return shining


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda patch: np.ones_like(patch), "clipped"),
        (lambda patch: patch * 0.002, "near black"),
        (lambda patch: patch * [0.0, 1.0, 1.0], "beyond the file's colours"),
        (half_shaded, "unevenly lit|a glint"),
        (glint, "a glint|unevenly lit"),
        (lambda patch: patch * 0.75, "unlike its table"),
        (lambda patch: patch * [1.4, 1.0, 0.8], "unlike its table"),
    ],
)
def test_a_spoiled_patch_is_dropped_and_named(clean, change, words):
    import re

    reading = measure(
        spoiled(clean, 7, change), clean.corners, target_of(clean.world), [], {}, illuminant="D65", observer=10
    )
    reasons = dict(reading.patches.dropped)
    assert set(reasons) - {"P24"} == {"P8"}, reasons
    assert re.search(words, reasons["P8"])
    assert not reading.patches.used[7]


def test_a_noisy_patch_is_not_uneven(clean):
    """As a camera writes a dim patch whose channels it had to lift."""
    rng = np.random.default_rng(1)
    picture = spoiled(clean, 7, lambda patch: patch * (1 + rng.normal(0, 0.12, (*patch.shape[:2], 1))))
    patches = read_patches(picture, clean.corners, target_of(clean.world))
    assert patches.used[7]


def test_a_clean_target_keeps_its_patches(clean):
    reading = measure(
        picture_of(clean, "linear"), clean.corners, target_of(clean.world), [], {}, illuminant="D65", observer=10
    )
    assert reading.patches.used.sum() >= 23
    assert np.median(reading.fit) < 1.0


@pytest.mark.parametrize(
    ("corners", "words"),
    [
        ([[30, 80], [290, 255], [290, 80], [30, 255]], "cross"),
        ([[30, 80], [890, 80], [890, 255], [30, 255]], "outside"),
        ([[30, 80], [50, 80], [50, 95], [30, 95]], "fewer"),
    ],
)
def test_corners_that_cannot_be_are_refused(clean, corners, words):
    with pytest.raises(InputError, match=words):
        read_patches(picture_of(clean, "linear"), corners, target_of(clean.world))


@pytest.mark.parametrize("encoding", ["linear", "srgb"])
@pytest.mark.parametrize("turns", [0, 1, 2, 3])
def test_the_target_is_found_whichever_way_up(scene, turns, encoding):
    picture = picture_of(scene, encoding)
    corners = scene.corners
    for _ in range(turns):
        width = picture.size[0]
        picture = replace(picture, pixels=np.ascontiguousarray(np.rot90(picture.pixels)))
        corners = np.column_stack([corners[:, 1], width - 1 - corners[:, 0]])
    found = find_target(picture, target_of(scene.world))
    assert found is not None
    assert np.abs(found.corners - corners).max() < 3.0  # of cells of 43 pixels drawn with hard edges


def test_no_target_is_found_where_there_is_none(scene):
    pixels = picture_of(scene, "linear").pixels[:, 300:]
    assert find_target(Picture(np.ascontiguousarray(pixels), "linear"), target_of(scene.world)) is None
    assert find_target(Picture(np.zeros((300, 400, 3), np.uint8), "srgb"), target_of(scene.world)) is None


def test_another_chart_is_not_taken_for_this_one(scene):
    target = target_of(scene.world)
    other = replace(target, reflectance=target.reflectance[np.random.default_rng(1).permutation(24)])
    assert find_target(picture_of(scene, "linear"), other) is None


def test_a_chart_that_looks_the_same_when_turned_is_not_guessed(scene):
    target = target_of(scene.world)
    greys = replace(target, reflectance=np.full_like(target.reflectance, 0.4))
    assert find_target(picture_of(scene, "linear"), greys) is None


@pytest.mark.parametrize("seed", range(4))
def test_corners_are_refined_to_half_a_pixel(scene, seed):
    """Drawn four times as large and averaged, blurred as by a lens, with noise; begun up to two pixels off."""
    rng, k = np.random.default_rng(seed), 4
    corners = scene.corners + rng.uniform(-6, 6, (4, 2))
    large = np.full((330 * k, 330 * k, 3), 0.045, np.float32)
    for polygon, rgb in zip(cells(corners), scene.chart @ scene.response, strict=True):
        cv2.fillPoly(large, [np.round((polygon * k + (k - 1) / 2) * 16).astype(np.int32)], rgb.tolist(), shift=4)
    small = cv2.GaussianBlur(cv2.resize(large, (330, 330), interpolation=cv2.INTER_AREA), (0, 0), 0.7)
    picture = Picture(as_uint16(np.clip(small + rng.normal(0, 0.004, small.shape), 0, 1)), "linear")
    found = refined(picture, corners + rng.uniform(-2, 2, (4, 2)), target_of(scene.world))
    assert np.abs(found - corners).max() < 0.7
    assert np.abs(found - corners).mean() < 0.3
