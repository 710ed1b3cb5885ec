"""A photo to its result: what was used and why, doubt, change, and the case's targets with their grades."""

import numpy as np
import pytest

from stainbook.book import open_book
from stainbook.colour import delta_e_2000
from stainbook.errors import InputError
from stainbook.lab import Lab
from stainbook.records import Body, Chip, Layer, Pot, Reading
from stainbook.work.photo.photo_colours import PhotoAsked, photo
from stainbook.work.reading.viewing_conditions import Asked
from tests.photo.shots import by_kind, points, scene_yaml, table, write_jpeg, write_tiff
from tests.worlds.photo_scenes import pair, render
from tests.worlds.photo_spectra import NM, lab_of
from tests.worlds.pigments import WAVELENGTHS


@pytest.fixture(scope="module")
def scene():
    return render(4, "test", polarised=True)


@pytest.fixture
def folder(tmp_path, scene):
    table(tmp_path / "target.txt", scene)
    write_jpeg(tmp_path / "p.jpg", scene)
    write_tiff(tmp_path / "p.tif", scene.raw)
    write_tiff(tmp_path / "flat.tif", scene.flat)
    scene_yaml(tmp_path / "piece.yaml", scene)
    scene_yaml(tmp_path / "patient.yaml", scene, subject="patient", corners=False, flat="flat.tif")
    return tmp_path


@pytest.fixture
def lab_book(tmp_path, scene):
    """A book that holds the chips and bodies of the lab that fired the pieces."""
    url = f"sqlite:///{tmp_path / 'lab.db'}"
    readings, chips, bodies = [], [], []
    for tissue, kind in (("tooth", "fired tooth"), ("gingiva", "fired gum")):
        for number, curve in enumerate(scene.world.lab_spectra[kind][-12:]):
            name = f"body-{tissue}-{number}"
            readings.append(Reading(name, tuple(WAVELENGTHS), tuple(curve.tolist()), tissue=tissue))
            bodies.append(Body(name))
    for number, curve in enumerate(scene.world.lab_spectra["fired tooth"][:-12]):
        readings.append(Reading(f"chip-{number}", tuple(WAVELENGTHS), tuple(curve.tolist())))
        chips.append(Chip(f"chip-{number}", "body-tooth-0", (Layer(Pot.of({})),)))
    with open_book(url) as book:
        book.add_bodies(bodies)
        book.add_chips(chips)
        book.add_readings(readings)
    return url


def errors(found, scene, subject):
    truth = lab_of(np.array([zone.curve for _, zone in by_kind(scene, subject)]))
    return delta_e_2000([[zone.L, zone.a, zone.b] for zone in found.zones], truth)


def test_a_piece_is_met_by_the_labs_own_material(folder, scene, lab_book):
    found = Lab.open(lab_book).photo.measure(folder / "p.jpg", folder / "piece.yaml")
    assert {zone.prior for zone in found.zones} == {"fired tooth", "fired gum"}
    assert "the lab's own" in found.method
    assert np.all(errors(found, scene, "piece") < [zone.u for zone in found.zones])


def test_without_such_readings_the_chart_alone_is_used_and_the_doubt_is_wider(folder, lab_book):
    alone = Lab.open(f"sqlite:///{folder / 'none.db'}").photo.measure(folder / "p.jpg", folder / "piece.yaml")
    known = Lab.open(lab_book).photo.measure(folder / "p.jpg", folder / "piece.yaml")
    assert {zone.prior for zone in alone.zones} == {"unknown"}
    assert "chart alone" in alone.method
    assert all(one.u > other.u for one, other in zip(alone.zones, known.zones, strict=True))
    assert not (folder / "none.db").exists()  # looking makes no book


def test_a_patient_is_met_by_living_tissue_with_the_target_found_and_a_grey_frame(folder, scene):
    found = photo(None, folder / "p.tif", folder / "patient.yaml")
    assert "chart found by itself" in found.method
    assert "grey frame" in found.method
    assert "judged" in found.method
    assert {zone.prior for zone in found.zones} == {"living tooth", "living gum"}
    assert np.all(errors(found, scene, "patient") < [zone.u for zone in found.zones])
    assert len(found.reference.corners) == 4


def test_light_and_observer_are_those_asked_for(folder, scene):
    found = photo(None, folder / "p.tif", folder / "patient.yaml", PhotoAsked(asked=Asked("A", 2)))
    curves = np.array([zone.curve for _, zone in by_kind(scene, "patient")])
    truth = lab_of(curves, illuminant="A", observer=2)
    assert {(zone.illuminant, zone.observer) for zone in found.zones} == {("A", 2)}
    assert delta_e_2000([[zone.L, zone.a, zone.b] for zone in found.zones], truth).max() < 2.5


def test_a_tab_in_the_frame_is_used(folder, scene):
    L, a, b = lab_of(scene.tab.curve)
    tab = f"[{{polygon: {points(scene.tab.polygon)}, L: {L}, a: {a}, b: {b}, illuminant: D65, observer: 10}}]"
    scene_yaml(folder / "tab.yaml", scene, tabs=tab)
    found = photo(None, folder / "p.tif", folder / "tab.yaml")
    assert "tabs used" in found.method
    assert found.reference.tabs_dE00 is not None


def test_before_and_after(tmp_path):
    first, second = pair(3, "test", polarised=True)
    for name, one in (("before", first), ("after", second)):
        table(tmp_path / "target.txt", one)
        write_tiff(tmp_path / f"{name}.tif", one.raw)
        write_tiff(tmp_path / f"{name}-flat.tif", one.flat)
        scene_yaml(tmp_path / f"{name}.yaml", one, subject="patient", encoding="linear", flat=f"{name}-flat.tif")
    before = (tmp_path / "before.tif", tmp_path / "before.yaml")
    found = photo(None, tmp_path / "after.tif", tmp_path / "after.yaml", PhotoAsked(before=before))
    for zone, (_, then), (_, now) in zip(
        found.zones, by_kind(first, "patient"), by_kind(second, "patient"), strict=True
    ):
        true = float(delta_e_2000(lab_of(then.curve), lab_of(now.curve)))
        assert abs(zone.change.dE00 - true) < zone.change.u


def test_a_case_gives_gaps_that_are_never_a_bare_pass(folder, scene):
    zones = []
    for (tooth, name), zone in by_kind(scene, "patient"):
        L, a, b = lab_of(zone.curve)
        target = f"{{L: {L:.3f}, a: {a:.3f}, b: {b:.3f}, illuminant: D65, observer: 10}}"
        zones.append(f"  - {{tooth: {tooth}, zone: {name}, target: {target}}}")
    (folder / "case.yaml").write_text("\n".join(["case: W-1", "stage: glazed", "zones:", *zones]) + "\n")
    wish, book = PhotoAsked(case=folder / "case.yaml"), Lab.open(folder / "c.db").book
    scene_yaml(folder / "jpeg.yaml", scene, subject="patient")
    wide = photo(book, folder / "p.jpg", folder / "jpeg.yaml", wish)
    for zone in wide.zones:
        assert zone.gap.u >= zone.u
        limit = 1.8 if zone.tissue == "tooth" else 2.9
        expected = "within" if zone.gap.dE00 + zone.gap.u <= limit else "cannot tell"
        assert zone.gap.grade == expected
    assert "cannot tell" in {zone.gap.grade for zone in wide.zones}


@pytest.mark.parametrize(
    ("share", "words"), [(1.0, "its reading taken as likely of"), (0.6, "unlike the spectrum expected")]
)
def test_what_is_read_of_the_zones_is_their_prior_where_they_are_like_it(folder, scene, share, words):
    url = f"sqlite:///{folder / 'expected.db'}"
    readings, zones = [], []
    for (tooth, name), zone in by_kind(scene, "piece"):
        curve = share * np.interp(WAVELENGTHS, NM, zone.curve)
        readings.append(Reading(f"W-1-{tooth}-{name}", tuple(WAVELENGTHS), tuple(curve.tolist()), stage="glazed"))
        zones.append(f"  - {{tooth: {tooth}, zone: {name}}}")
    (folder / "case.yaml").write_text("\n".join(["case: W-1", "stage: glazed", "zones:", *zones]) + "\n")
    with open_book(url) as book:
        book.add_readings(readings)
    found = Lab.open(url).photo.measure(folder / "p.jpg", folder / "piece.yaml", PhotoAsked(case=folder / "case.yaml"))
    assert words in found.method
    assert "11 cervical" in found.method
    assert {zone.prior == "unknown" for zone in found.zones} == {share < 1}
    assert np.all(errors(found, scene, "piece") < [zone.u for zone in found.zones])


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (("rows: 4", "rows: 5"), "24 patches"),
        (("reference: target.txt", "reference: none.txt"), "no such file"),
        (("corners:", "# corners:"), None),
    ],
)
def test_scenes_that_do_not_fit_are_told(folder, change, words):
    path = folder / "changed.yaml"
    path.write_text((folder / "piece.yaml").read_text().replace(*change))
    if words is None:
        assert "found by itself" in photo(None, folder / "p.jpg", path).method
    else:
        with pytest.raises(InputError, match=words):
            photo(None, folder / "p.jpg", path)


def test_a_zone_outside_the_picture_is_told(folder, scene):
    path = folder / "out.yaml"
    text = (folder / "piece.yaml").read_text()
    first = points(by_kind(scene, "piece")[0][1].polygon)
    path.write_text(text.replace(first, "[[900, 900], [950, 900], [950, 950]]"))
    with pytest.raises(InputError, match="11 cervical"):
        photo(None, folder / "p.jpg", path)


def test_a_zone_upon_the_target_was_drawn_on_another_picture(folder, scene):
    """Same size, other picture: the target is found where the zones of the old drawing lie."""
    path = folder / "other.yaml"
    text = (folder / "patient.yaml").read_text()
    first = points(by_kind(scene, "patient")[0][1].polygon)
    on_it = points(scene.corners.mean(axis=0) + np.array([[-20, -20], [20, -20], [20, 20], [-20, 20]]))
    path.write_text(text.replace(first, on_it).replace("flat: flat.tif\n", ""))
    with pytest.raises(InputError, match=r"11 cervical lies on the chart of .*p\.jpg; draw it on this picture"):
        photo(None, folder / "p.jpg", path)


def test_a_grey_frame_of_another_format_that_does_not_say_is_refused(folder):
    with pytest.raises(InputError, match=r"flat\.tif.*same format"):
        photo(None, folder / "p.jpg", folder / "patient.yaml")


def test_a_grey_card_alone_gives_a_jpeg_wide_doubt_and_a_linear_file_nothing(folder, scene):
    grid = np.array(scene.corners)
    left, right = grid[0] + 0.75 * (grid[3] - grid[0]), grid[1] + 0.75 * (grid[2] - grid[1])
    table(folder / "greys.txt", scene, slice(18, 24))
    text = (folder / "patient.yaml").read_text().replace("target.txt", "greys.txt").replace("rows: 4", "rows: 1")
    text = text.replace("flat: flat.tif", f"corners: {points(np.array([left, right, grid[2], grid[3]]))}")
    (folder / "greys.yaml").write_text(text)
    found = photo(None, folder / "p.jpg", folder / "greys.yaml")
    assert "greys alone" in found.method
    assert found.reference.dE00_left_out is None
    assert min(zone.u for zone in found.zones) >= 4.0
    assert any("living gum" in line for line in found.warnings)
    with pytest.raises(InputError, match="grey card"):
        photo(None, folder / "p.tif", folder / "greys.yaml")


def test_a_plain_grey_card_is_a_target_of_one_patch(folder, scene):
    grid = np.array(scene.corners)
    card = grid[0] + np.array([[3 / 6, 3 / 4], [4 / 6, 3 / 4], [4 / 6, 1], [3 / 6, 1]]) @ (grid[[1, 3]] - grid[0])
    table(folder / "card.txt", scene, slice(21, 22))
    text = (folder / "piece.yaml").read_text().replace("target.txt", "card.txt").replace("rows: 4", "rows: 1")
    text = text.replace("columns: 6", "columns: 1").replace(points(grid), points(card))
    (folder / "card.yaml").write_text(text)
    found = photo(None, folder / "p.jpg", folder / "card.yaml")
    assert "1 of 1 patches; greys alone" in found.method
    assert found.reference.dE00_median is None
    assert np.all(errors(found, scene, "piece") < [zone.u for zone in found.zones])


def test_a_map_shows_where_a_zone_has_changed(folder, scene):
    from PIL import Image

    changed = scene.raw.copy()
    (_, zone), *_ = by_kind(scene, "patient")
    (x0, y0), (x1, y1) = np.round(zone.polygon[[0, 2]]).astype(int)
    changed[y0:y1, x0 : (x0 + x1) // 2] *= [0.9, 0.75, 0.6]
    write_tiff(folder / "after.tif", changed)
    scene_yaml(folder / "plain.yaml", scene, subject="patient")
    wish = PhotoAsked(before=(folder / "p.tif", folder / "plain.yaml"), map=folder / "map.png")
    photo(None, folder / "after.tif", folder / "plain.yaml", wish)
    with Image.open(folder / "map.png") as image:
        grey = np.asarray(image)[..., 0].astype(int)
    middle = (y0 + y1) // 2
    assert image.size == (600, 400)
    assert grey[middle, x0 + 5] == 40  # more than three times what is acceptable
    assert grey[middle, x1 - 6] == 245  # no difference is seen


def test_a_map_needs_something_to_compare_with(folder):
    with pytest.raises(InputError, match="--case or --before"):
        photo(None, folder / "p.jpg", folder / "piece.yaml", PhotoAsked(map=folder / "map.png"))
