"""What is not as the table, the corners or the scene have it is refused or said: never a number that looks sound."""

from dataclasses import replace

import numpy as np
import pytest

from stainbook.colour import WAVELENGTHS, delta_e_2000
from stainbook.errors import InputError
from stainbook.photo.judge import settled
from stainbook.photo.measure import Outline, measure
from stainbook.photo.picture import Picture, srgb_curves
from tests.worlds.photo_accuracy import picture_of, priors_of, target_of
from tests.worlds.photo_misleading import FROZEN, LOOKED_AT, twofold
from tests.worlds.photo_scenes import Faults, as_uint16
from tests.worlds.photo_spectra import NM, lab_of

REFUSED = [(case, encoding) for case in (*LOOKED_AT, *FROZEN) if case.must_refuse for encoding in case.encodings]


def believed(case, scene, rng):
    """The chart as a wrong table has it."""
    curves = case.table(scene.world.chart, rng)
    return replace(target_of(scene.world), reflectance=np.array([np.interp(WAVELENGTHS, NM, one) for one in curves]))


def read(picture, corners, target, scene):
    outlines = [Outline(zone.kind, zone.polygon) for zone in scene.zones]
    return measure(picture, corners, target, outlines, priors_of(scene.world), illuminant="D65", observer=10)


@pytest.fixture(scope="module")
def twice():
    return twofold(3, "test")


@pytest.mark.parametrize(("case", "encoding"), REFUSED, ids=[f"{case.name}, {encoding}" for case, encoding in REFUSED])
def test_what_cannot_be_is_refused(twice, case, encoding):
    rng = np.random.default_rng(1)
    picture = picture_of(case.spoil(twice, rng), encoding)
    with pytest.raises(InputError, match=r"check|patches"):
        read(picture, case.corners(twice.corners), believed(case, twice, rng), twice)


def test_the_same_scene_unspoilt_is_read(twice):
    for encoding in ("linear", "srgb"):
        found = read(picture_of(twice, encoding), twice.corners, target_of(twice.world), twice)
        assert found.troubles == ()
        assert np.isfinite([zone.lab for zone in found.zones]).all()


@pytest.mark.parametrize(("true", "stated"), [("linear", "srgb"), ("srgb", "linear")])
def test_an_encoding_stated_wrongly_is_overruled_and_said(twice, true, stated):
    picture = picture_of(twice, true)
    curves = srgb_curves(int(picture.full) + 1) if stated == "srgb" else None
    found = settled(replace(picture, encoding=stated, curves=curves), twice.corners, target_of(twice.world))
    assert found.picture.encoding == true
    assert "not " in found.warning
    right = settled(picture, twice.corners, target_of(twice.world))
    assert (right.picture.encoding, right.warning) == (true, None)


def test_a_raw_file_is_never_overruled(twice):
    bent = Picture(as_uint16(np.clip(twice.raw, 0, 1) ** (1 / 2.2)), "linear", is_raw=True)
    assert settled(bent, twice.corners, target_of(twice.world)).picture is bent


def greys(twice, corners, table):
    """A grey card of six patches, or one, at some corners of the picture."""
    target = target_of(twice.world)
    names = tuple(f"G{i}" for i in range(len(table)))
    flat = np.repeat(np.asarray(table)[:, None], target.wavelengths.size, axis=1)
    card = replace(target, rows=1, columns=len(table), names=names, reflectance=flat, sure=np.full(len(table), 0.012))
    return read(picture_of(twice, "srgb"), corners, card, twice)


def test_equal_greys_laid_on_a_colour_chart_are_refused(twice):
    target = target_of(twice.world)
    equal = replace(target, reflectance=np.full_like(target.reflectance, 0.4))
    for encoding in ("srgb",):
        with pytest.raises(InputError, match="grey"):
            read(picture_of(twice, encoding), twice.corners, equal, twice)


@pytest.mark.parametrize("kind", ["living tooth", "living gum", "fired gum"])
def test_a_grey_card_laid_on_a_tooth_or_gum_is_refused(kind):
    plain = twofold(3, "test", Faults(highlights=0.0, shading=0.0))
    zone = next(zone for zone in plain.zones if zone.kind == kind)
    with pytest.raises(InputError, match=r"not grey|no surface|check corners"):
        greys(plain, zone.polygon, [0.18])


def test_no_colour_leaves_that_no_file_may_hold(twice):
    """The chart four times as bright as the piece, as by a shadow: the piece would be four times as white as paper."""
    raw = twice.raw.copy()
    raw[:, :308] *= 0.2
    with pytest.raises(InputError, match=r"no surface|check"):
        read(Picture(as_uint16(raw), "linear"), twice.corners, target_of(twice.world), twice)


def test_colours_of_a_good_shot_are_those_of_before(twice):
    found = read(picture_of(twice, "linear"), twice.corners, target_of(twice.world), twice)
    errors = [
        float(delta_e_2000(zone.lab, lab_of(truth.curve)))
        for zone, truth in zip(found.zones, twice.zones, strict=True)
        if not zone.mean.flagged
    ]
    assert np.median(errors) < 1.5
