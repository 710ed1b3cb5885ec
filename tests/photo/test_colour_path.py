"""From pixels to L*a*b* where the answer is known: published chart values, an ICC transform, laws."""

import numpy as np
import pytest

from stainbook.colour import WAVELENGTHS, delta_e_2000, tristimulus_weights, xyz_to_lab
from stainbook.photo.calibration import calibrate
from stainbook.photo.camera_response import estimate_response, response_kernels
from stainbook.photo.measure import Outline, measure
from stainbook.photo.picture import Picture
from stainbook.photo.profiles import profile_curves, profile_name
from stainbook.photo.tissue_families import living_family
from tests.worlds.photo_accuracy import Way, picture_of, priors_of, read, target_of
from tests.worlds.photo_scenes import as_uint16, cells
from tests.worlds.photo_spectra import KINDS, NM, family, lab_of

# L*, a*, b* (D50, 2 degrees) of three patches of the tuning family's chart: tests/published/photo_sources.md
PUBLISHED = {0: (38.4245, 13.6880, 14.4217), 1: (65.9341, 17.9379, 17.8826), 14: (42.3021, 54.0559, 28.7919)}


def chart_picture(response):
    """A picture of the tuning chart alone, evenly lit, without noise."""
    world = family("tune")
    corners = np.array([[20.0, 20], [380, 20], [380, 260], [20, 260]])
    linear = np.full((280, 400, 3), 0.02)
    for polygon, rgb in zip(cells(corners), world.chart @ response, strict=True):
        (x0, y0), (x1, y1) = np.round(polygon[0]).astype(int), np.round(polygon[2]).astype(int)
        linear[y0:y1, x0:x1] = rgb
    return Picture(as_uint16(linear), "linear"), corners


def observer_camera():
    """A camera that sees as the 2 degree observer does under D50."""
    weights = tristimulus_weights(NM, illuminant="D50", observer=2) / 100
    return weights @ np.array([[0.9, -0.2, 0.1], [0.2, 0.8, 0.1], [0.0, 0.1, 0.9]]) * 0.8


def test_published_values_of_a_chart_come_back_through_an_observer_like_camera():
    picture, corners = chart_picture(observer_camera())
    outlines = [Outline("unknown", cells(corners, 0.5)[i]) for i in PUBLISHED]
    reading = measure(picture, corners, target_of(family("tune")), outlines, {}, illuminant="D50", observer=2)
    found = np.array([zone.lab for zone in reading.zones])
    assert delta_e_2000(found, np.array(list(PUBLISHED.values()))).max() < 0.2  # 400-700 nm against 380-730 nm


@pytest.mark.parametrize("encoding", ["linear", "srgb"])
def test_exposure_does_not_matter(clean, encoding):
    picture = picture_of(clean, "linear")
    outlines = [Outline(zone.kind, zone.polygon) for zone in clean.zones]
    labs = []
    for factor in (1.0, 0.5):
        dimmed = Picture((picture.pixels * factor).astype(np.uint16), "linear")
        reading = measure(
            dimmed,
            clean.corners,
            target_of(clean.world),
            outlines,
            priors_of(clean.world),
            illuminant="D65",
            observer=10,
        )
        labs.append([zone.lab for zone in reading.zones])
    np.testing.assert_allclose(labs[0], labs[1], atol=0.02)  # 16 bits rounded to half


def test_the_profile_curves_are_those_of_an_icc_transform():
    from PIL import Image, ImageCms

    profile = ImageCms.createProfile("sRGB")
    data = ImageCms.ImageCmsProfile(profile).tobytes()
    curves = profile_curves(data, 256)
    greys = Image.fromarray(np.repeat(np.arange(256, dtype=np.uint8)[None, :, None], 3, axis=2))
    to_lab = ImageCms.buildTransform(profile, ImageCms.createProfile("LAB"), "RGB", "LAB", renderingIntent=1)
    theirs = np.asarray(ImageCms.applyTransform(greys, to_lab))[0, :, 0].astype(float) * 100 / 255
    ours = xyz_to_lab(100 * curves, np.full(3, 100.0))[:, 0]
    assert np.abs(ours - theirs).max() < 0.4  # L* in 8 bits: steps of 0.39
    assert "sRGB" in profile_name(data)


def test_colours_by_the_srgb_assumption_are_those_of_an_icc_transform():
    """sRGB pixels taken through our curves and matrix, and through LittleCMS to L*a*b* (D50)."""
    from PIL import Image, ImageCms

    from stainbook.colour.screen import XYZ_TO_SRGB

    rgb = np.random.default_rng(1).integers(30, 226, (200, 3)).astype(np.uint8)
    to_lab = ImageCms.buildTransform(
        ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB"), "RGB", "LAB", renderingIntent=1
    )
    theirs = np.asarray(ImageCms.applyTransform(Image.fromarray(rgb[None]), to_lab))[0].astype(float)
    theirs = np.column_stack([theirs[:, 0] * 100 / 255, *(((theirs[:, i] + 128) % 256) - 128 for i in (1, 2))])
    linear = Picture(
        rgb[None], "srgb", profile_curves(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes(), 256)
    )
    xyz = linear.linear(rgb) @ np.linalg.inv(XYZ_TO_SRGB).T
    bradford = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
    d65, d50 = np.array([0.95047, 1.0, 1.08883]), np.array([0.96422, 1.0, 0.82521])
    adapt = np.linalg.inv(bradford) @ np.diag((bradford @ d50) / (bradford @ d65)) @ bradford
    ours = xyz_to_lab(100 * xyz @ adapt.T, 100 * d50)
    assert np.abs(ours - theirs).max() < 1.0  # 8 bits: L* by 0.39, a* and b* by 1
    assert np.median(delta_e_2000(ours, theirs)) < 0.4


def test_the_response_predicts_colours_that_the_chart_does_not_hold():
    world = family("test")
    chart = np.array([np.interp(WAVELENGTHS, NM, curve) for curve in world.chart])
    response = world.cameras[0] * world.lights[0][:, None]
    found = estimate_response(chart, world.chart @ response, response_kernels(np.asarray(WAVELENGTHS)))
    gums = world.pieces["living gum"][:50]
    told = found.rgb(np.array([np.interp(WAVELENGTHS, NM, curve) for curve in gums]))
    assert np.abs(told / (gums @ response) - 1).max() < 0.06
    assert np.median(np.abs(told / (gums @ response) - 1)) < 0.02


def test_a_curve_put_on_a_jpeg_is_taken_off_again():
    world = family("test")
    chart = np.array([np.interp(WAVELENGTHS, NM, curve) for curve in world.chart])
    response = world.cameras[1] * world.lights[0][:, None]
    light = world.chart @ response
    light = 0.8 * light / light.max()
    encoded = light ** (1 / 2.2)
    bent = (encoded + 0.5 * encoded * (1 - encoded) * (encoded - 0.45)) ** 2.2
    places = np.random.default_rng(1).uniform(-1, 1, (24, 2))
    found = calibrate(chart, bent, places, np.asarray(WAVELENGTHS), encoded=True, even=True)
    straight = found.straighten(bent, places)
    ratio = np.log(straight / light)
    raw = np.log(bent / light)
    assert np.ptp(raw - raw.mean(axis=0)) > 0.35
    assert np.std(ratio - ratio.mean(axis=0)) < 0.25 * np.std(raw - raw.mean(axis=0))


def test_a_linear_file_is_given_no_curve():
    world = family("test")
    chart = np.array([np.interp(WAVELENGTHS, NM, curve) for curve in world.chart])
    found = calibrate(
        chart, chart[:, [20, 12, 4]], np.zeros((24, 2)), np.asarray(WAVELENGTHS), encoded=False, even=True
    )
    assert np.abs(found.tone).max() < 1e-6


def test_a_zone_unlike_its_prior_is_met_by_the_chart_alone(clean):
    outlines = [Outline("living gum" if "tooth" in zone.kind else zone.kind, zone.polygon) for zone in clean.zones]
    target, picture = target_of(clean.world), picture_of(clean, "linear")
    told = measure(
        picture,
        clean.corners,
        target,
        outlines,
        {"living gum": living_family("gingiva")},
        illuminant="D65",
        observer=10,
    )
    alone = measure(picture, clean.corners, target, outlines, {}, illuminant="D65", observer=10)
    for zone, one, other in zip(clean.zones, told.zones, alone.zones, strict=True):
        if "tooth" in zone.kind:
            assert not one.by_prior
            np.testing.assert_allclose(one.lab, other.lab, atol=1e-9)


def test_a_known_tab_takes_a_wrong_level_out(clean):
    """The piece a little nearer to the lamp than the target: a tab beside it says so."""
    way = Way(tab=True)
    with_tab, without = read(clean, way), read(clean, Way())
    assert with_tab.closure is not None
    shift = [one.lab - other.lab for one, other in zip(with_tab.zones, without.zones, strict=True)]
    np.testing.assert_allclose(shift, np.repeat([shift[0]], len(shift), axis=0), atol=1e-9)


def test_without_faults_colours_are_met_up_to_metamerism(clean):
    reading = read(clean, Way())
    truth = lab_of(np.array([zone.curve for zone in clean.zones]))
    errors = delta_e_2000(np.array([zone.lab for zone in reading.zones]), truth)
    limits = dict(zip(KINDS, (1.0, 2.0, 1.5, 1.5), strict=True))
    assert all(error < limits[zone.kind] for error, zone in zip(errors, clean.zones, strict=True)), errors
