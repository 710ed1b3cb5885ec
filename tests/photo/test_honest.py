"""What is not as the table, the corners or the scene have it is refused or said: never a number that looks sound."""

from dataclasses import replace

import numpy as np
import pytest

from stainbook.colour import WAVELENGTHS, delta_e_2000
from stainbook.errors import InputError
from stainbook.photo.doubt import USUAL_MISS, Condition
from stainbook.photo.judge import settled
from stainbook.photo.measure import Outline, measure, radius_of
from stainbook.photo.picture import Picture, srgb_curves
from tests.worlds.photo_accuracy import picture_of, priors_of, target_of
from tests.worlds.photo_misleading import FROZEN, LOOKED_AT, gaussian_mapping, twofold, worn
from tests.worlds.photo_scenes import Faults, as_uint16
from tests.worlds.photo_spectra import NM, lab_of

RNG = np.random.default_rng(5)
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


@pytest.mark.parametrize("encoding", ["linear", "srgb"])
def test_light_that_falls_off_from_one_place_is_refused_or_said(twice, encoding):
    """A lens off its axis that darkens to a half put zones off by 8 ΔE00 (P95 16) inside a radius of 5.5."""
    lens = next(case for case in FROZEN if case.name == "lens off its axis")
    spoilt = lens.spoil(twice, np.random.default_rng(1))
    try:
        found = read(picture_of(spoilt, encoding), twice.corners, target_of(twice.world), twice)
    except InputError as error:
        assert "light falls off" in str(error)  # noqa: PT017
    else:
        assert any("light falls off" in line for line in found.troubles)


@pytest.mark.parametrize("strength", [0.15, 0.3, 0.5])
def test_a_phones_tone_mapping_is_refused_said_or_held(twice, strength):
    """It put zones off by 3, 7 and 12 ΔE00 inside a radius of 3 without a word."""
    spoilt = gaussian_mapping(strength)(twice, np.random.default_rng(2))
    try:
        found = read(picture_of(spoilt, "srgb"), twice.corners, target_of(twice.world), twice)
    except InputError:
        return
    shot = Condition("srgb", even=False, tab=False)
    held = [
        float(delta_e_2000(zone.lab, lab_of(truth.curve))) <= radius_of(found, zone, shot)
        for zone, truth in zip(found.zones, twice.zones, strict=True)
        if not zone.mean.flagged
    ]
    assert found.troubles or np.mean(held) >= 0.85


def test_a_lamp_close_beside_the_piece_is_refused(twice):
    """Over the target its light looks like a plane, which drawn on put zones off by 16 ΔE00."""
    x = np.arange(twice.raw.shape[1])[None, :, None] / twice.raw.shape[1]
    lit = (1 + ((x - 1.0) / 0.6) ** 2) ** -1.5
    with pytest.raises(InputError, match="light falls off"):
        read(picture_of(replace(twice, raw=twice.raw * lit), "linear"), twice.corners, target_of(twice.world), twice)


def test_light_that_falls_off_over_the_chart_alone_is_said(twice):
    """A quarter from one side to the other put all zones off by 4 to 5 ΔE00, more than their radius, without a word."""
    x = np.arange(twice.raw.shape[1])[None, :, None]
    left, right = twice.corners[:, 0].min(), twice.corners[:, 0].max()
    lit = np.where(x < right, 1 - 0.25 * (x - left) / (right - left), 1.0)
    spoilt = replace(twice, raw=np.clip(twice.raw * lit, 0, 1))
    found = read(picture_of(spoilt, "linear"), twice.corners, target_of(twice.world), twice)
    assert any("light falls off" in line for line in found.troubles)


def radii(picture, target, twice):
    found = read(picture, twice.corners, target, twice)
    shot = Condition("linear", even=False, tab=False)
    return found, np.array([radius_of(found, zone, shot) for zone in found.zones])


def test_patches_that_are_missed_when_left_out_widen_the_radius(twice):
    """A worn chart, whose patches no longer are as its table has them: as on real photographs, 1.9 and more."""
    target = target_of(twice.world)
    worn_table = np.array([np.interp(WAVELENGTHS, NM, one) for one in worn(0.06, 0.15)(twice.world.chart, RNG)])
    picture = picture_of(twice, "linear")
    good, sure = radii(picture, target, twice)
    bad, unsure = radii(picture, replace(target, reflectance=worn_table), twice)
    assert np.median(good.left_out) < min(USUAL_MISS, 0.7 * np.median(bad.left_out))
    assert (unsure > sure).all()
    assert np.median(unsure / sure) > 1.1
    shot = Condition("linear", even=False, tab=False)
    met = replace(good, left_out=np.full(24, 2.8))  # the misfit alone, all else as in the good shot
    wider = np.array([radius_of(met, zone, shot) for zone in met.zones])
    np.testing.assert_allclose(wider, np.hypot(sure, (2.8**2 - USUAL_MISS**2) ** 0.5))


def test_stray_light_widens_the_radius_of_dark_zones_most(twice):
    """A veil of 3 % of the white: gum, which is dark, moves more than a tooth."""
    veiled = np.clip(twice.raw + 0.03 * twice.raw[80:256, 30:290].reshape(-1, 3).max(axis=0), 0, 1)
    target = target_of(twice.world)
    _, sure = radii(picture_of(twice, "linear"), target, twice)
    found, unsure = radii(picture_of(replace(twice, raw=veiled), "linear"), target, twice)
    moved = dict(zip([zone.kind for zone in found.zones], [zone.signs.veil for zone in found.zones], strict=True))
    assert (unsure > sure).all()
    assert moved["living gum"] > moved["living tooth"]
    assert moved["fired gum"] > moved["fired tooth"]


def test_far_from_the_chart_a_zone_is_less_sure(twice):
    """What the light does beyond the chart is drawn on: its doubt grows with the distance."""
    near, far = ([[x, 120], [x + 30, 120], [x + 30, 150], [x, 150]] for x in (300, 560))
    found = measure(
        picture_of(twice, "linear"), twice.corners, target_of(twice.world),
        [Outline("unknown", place) for place in (near, far)], {}, illuminant="D65", observer=10,
    )  # fmt: skip
    assert found.zones[1].signs.light_sd > 1.5 * found.zones[0].signs.light_sd


def test_a_zone_whiter_than_any_piece_is_taken_for_glare(twice):
    """Light cut off and made darker after, as by a phone, has no pixel at full scale: it was 25 ΔE00 off, unflagged."""
    raw = twice.raw.copy()
    (x0, y0), (x1, y1) = np.round(twice.zones[0].polygon[[0, 2]]).astype(int)
    white = raw[80:256, 30:290].reshape(-1, 3).max(axis=0)
    raw[y0 - 4 : y1 + 4, x0 - 4 : x1 + 4] = 1.15 * white
    found = read(Picture(as_uint16(0.8 * raw), "linear"), twice.corners, target_of(twice.world), twice)
    assert found.zones[0].mean.flagged
    assert not any(zone.mean.flagged for zone in found.zones if zone.lab[0] < 95)


def test_the_same_scene_unspoilt_is_read(twice):
    for encoding in ("linear", "srgb"):
        found = read(picture_of(twice, encoding), twice.corners, target_of(twice.world), twice)
        assert found.troubles == ()
        assert np.isfinite([zone.lab for zone in found.zones]).all()


@pytest.mark.parametrize("pull", [(0.06, 0.0, -0.06), (-0.05, 0.0, 0.05), (0.0, -0.06, 0.06)])
def test_a_style_that_colours_shadows_is_taken_out(twice, pull):
    """One curve for all channels left zones 1.3 to 2.4 ΔE00 off in the median, and one was blamed on the lamps."""
    picture = picture_of(twice, "srgb")
    encoded = np.asarray(picture.pixels, dtype=np.float64)
    grey = (encoded @ [0.299, 0.587, 0.114])[..., np.newaxis] / 255
    spoilt = np.clip(np.round(encoded + 255 * np.array(pull) * (0.5 - grey)), 0, 255).astype(np.uint8)
    found = read(replace(picture, pixels=spoilt), twice.corners, target_of(twice.world), twice)
    errors = [float(delta_e_2000(z.lab, lab_of(t.curve))) for t, z in zip(twice.zones, found.zones, strict=True)]
    assert np.median(errors) < 1.2
    assert max(errors) < 2.0
    assert found.troubles == ()


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
