"""A second shot through a filter: gum by six channels, the rest as before; what is wrong with it is one line."""

import numpy as np
import pytest

from stainbook.book import open_book
from stainbook.colour import WAVELENGTHS, delta_e_2000, spectrum_to_lab, tristimulus_weights
from stainbook.errors import FileError, InputError
from stainbook.files.scene import format_scene, read_scene
from stainbook.photo.measure_two import followed
from stainbook.photo.tissue_families import WIDE_RANGE, gum_models, living_family, wide_gums
from stainbook.photo.zone_spectrum import LikelyTissue, Seen, zone_spectrum
from stainbook.records import Reading
from stainbook.work.photo.photo_colours import photo
from stainbook.work.photo.photo_priors import Priors
from tests.photo.shots import by_kind, points, scene_yaml, table, write_tiff
from tests.worlds.photo_scenes import Faults
from tests.worlds.photo_spectra import NM, family, lab_of
from tests.worlds.photo_two_shots import two_shots


@pytest.fixture(scope="module")
def shot(tmp_path_factory):
    folder = tmp_path_factory.mktemp("two")
    first, second = two_shots(2, "test", Faults(highlights=0.0))
    write_tiff(folder / "one.tif", first.raw)
    write_tiff(folder / "two.tif", second.raw)
    table(folder / "target.txt", first)
    scene_yaml(folder / "one.yaml", first, subject="patient", encoding="linear", picture="[600, 400]")
    names = [name for name, _ in by_kind(first, "patient")]
    there = {id(zone.curve): zone.polygon for zone in second.zones}
    zones = [(name, there[id(zone.curve)]) for name, (_, zone) in zip(names, by_kind(first, "patient"), strict=True)]
    lines = ["second:", "  image: two.tif", "  filter: cyan", f"  corners: {points(second.corners)}", "  zones:"]
    lines += [f"    - {{tooth: {t}, zone: {z}, polygon: {points(polygon)}}}" for (t, z), polygon in zones]
    (folder / "two.yaml").write_text((folder / "one.yaml").read_text() + "\n".join(lines) + "\n")
    return folder, first


def test_gum_is_measured_by_six_channels_and_teeth_as_before(shot):
    folder, first = shot
    one, two = (photo(None, folder / "one.tif", folder / name) for name in ("one.yaml", "two.yaml"))
    assert "filter cyan: six channels" in two.method
    for before, after, (_, truth) in zip(one.zones, two.zones, by_kind(first, "patient"), strict=True):
        gum = truth.kind == "living gum"
        assert (before.channels, after.channels) == (3, 6 if gum else 3)
        assert (after.u < 0.7 * before.u) if gum else (after.L, after.u) == (before.L, before.u)
        error = float(delta_e_2000([after.L, after.a, after.b], lab_of(truth.curve)))
        assert error < after.u


def test_the_scene_is_written_as_it_was_read(shot, tmp_path):
    folder, _ = shot
    found = read_scene(folder / "two.yaml")
    assert (found.picture, found.second.filter, len(found.second.zones)) == ((600, 400), "cyan", 4)
    (tmp_path / "again.yaml").write_text(format_scene(found))
    again = read_scene(tmp_path / "again.yaml")
    assert (again.picture, again.second.zones, again.second.corners) == (
        found.picture, found.second.zones, found.second.corners,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [("filter: cyan", "filter: ''", "filter"), ("image: two.tif", "image: none.tif", "no such file")],
)
def test_what_is_wrong_with_it_is_one_line(shot, old, new, words):
    folder, _ = shot
    (folder / "bad.yaml").write_text((folder / "two.yaml").read_text().replace(old, new))
    with pytest.raises(FileError, match=words):
        photo(None, folder / "one.tif", folder / "bad.yaml")


def test_a_second_shot_without_a_filter_is_refused(shot):
    folder, _ = shot
    (folder / "same.yaml").write_text((folder / "one.yaml").read_text() + "second: {image: one.tif, filter: cyan}\n")
    with pytest.raises(InputError, match="sees colours as the first does"):
        photo(None, folder / "one.tif", folder / "same.yaml")


def test_a_picture_of_another_size_is_scaled_and_of_another_shape_refused(shot):
    import cv2

    folder, first = shot
    half = cv2.resize(first.raw, None, fx=1.5, fy=1.5, interpolation=cv2.INTER_LINEAR)
    write_tiff(folder / "large.tif", half)
    write_tiff(folder / "tall.tif", first.raw[:, :520])
    one, large = (photo(None, folder / name, folder / "one.yaml") for name in ("one.tif", "large.tif"))
    for before, after in zip(one.zones, large.zones, strict=True):
        assert delta_e_2000([before.L, before.a, before.b], [after.L, after.a, after.b]) < 0.3
    with pytest.raises(InputError, match="600 x 400"):
        photo(None, folder / "tall.tif", folder / "one.yaml")


def test_a_zone_beside_the_picture_is_named(shot):
    folder, first = shot
    text = (folder / "one.yaml").read_text()
    (_, zone), *_ = by_kind(first, "patient")
    beside = zone.polygon + np.array([600 - zone.polygon[0, 0], 0])
    (folder / "off.yaml").write_text(text.replace(points(zone.polygon), points(beside)))
    with pytest.raises(InputError, match="11 cervical lies"):
        photo(None, folder / "one.tif", folder / "off.yaml")


def test_without_noise_six_channels_give_the_curve_back():
    wavelengths = np.asarray(WAVELENGTHS, dtype=np.float64)
    weights = tristimulus_weights(wavelengths, illuminant="D65", observer=10)
    bells = np.exp(-0.5 * ((wavelengths[:, None] - [450.0, 540, 610]) / 35) ** 2) / 10
    gel = 0.05 + 0.8 / (1 + np.exp((wavelengths - 585) / 18))
    nothing = np.zeros((3, wavelengths.size, wavelengths.size))
    true = living_family("gingiva")[7]
    shots = tuple(Seen(true @ seen, seen, nothing) for seen in (bells, bells * gel[:, None]))
    found = zone_spectrum(shots, [LikelyTissue.of(curves, wavelengths) for curves in gum_models()], weights)
    lab = spectrum_to_lab(true, wavelengths, illuminant="D65", observer=10)
    assert delta_e_2000(found.lab, lab) < min(1.0, found.radius)
    assert found.strain < 1.0


def test_zones_follow_the_target():
    corners = np.array([[0.0, 0], [60, 0], [60, 40], [0, 40]])
    moved = corners * 2 + [5, 7]
    np.testing.assert_allclose(followed([[10, 10], [20, 30]], corners, moved), [[25, 27], [45, 67]], atol=1e-9)


def test_the_other_gums_lie_within_published_colours():
    curves = wide_gums()
    lab = spectrum_to_lab(curves, WAVELENGTHS, illuminant="D65", observer=10)
    low, high = WIDE_RANGE
    assert len(curves) > 300
    assert ((lab > low) & (lab < high)).all()


def test_a_labs_own_spectra_of_gum_sharpen_what_gum_may_be(tmp_path):
    gums = family("test").pieces["living gum"][::9]
    curves = np.array([np.interp(WAVELENGTHS, NM, curve) for curve in gums])
    read = [
        Reading(
            f"p{n}-11-attached",
            stage="living",
            wavelengths=tuple(map(float, WAVELENGTHS)),
            reflectance=tuple(map(float, curve)),
        )
        for n, curve in enumerate(curves[1:31])
    ]
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as book:
        book.add_readings(read[:11])
        assert len(Priors(book).tissues("patient")["living gum"]) == 2  # too few
        book.add_readings(read[11:])
        priors = Priors(book)
        own, *shipped = priors.tissues("patient")["living gum"]
    assert (len(own), len(shipped)) == (30, 2)
    assert "the lab's own 30 spectra of gum" in priors.of("patient", ["gingiva"], grey_only=False)[1]["living gum"]
    wavelengths = np.asarray(WAVELENGTHS, dtype=np.float64)
    weights = tristimulus_weights(wavelengths, illuminant="D65", observer=10)
    bells = np.exp(-0.5 * ((wavelengths[:, None] - [450.0, 540, 610]) / 35) ** 2) / 10
    seen = Seen(curves[0] @ bells, bells, np.zeros((3, wavelengths.size, wavelengths.size)))
    with_own, without = (
        zone_spectrum([seen], [LikelyTissue.of(one, wavelengths) for one in models], weights)
        for models in ([own, *shipped], shipped)
    )
    true = spectrum_to_lab(curves[0], wavelengths, illuminant="D65", observer=10)
    assert with_own.radius < 0.9 * without.radius
    assert delta_e_2000(with_own.lab, true) < with_own.radius
