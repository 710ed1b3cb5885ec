"""What a case leads one to expect of a zone is the prior of its photo: predicted of its firing, read after it, read."""

import numpy as np
import pytest

from stainbook.book import open_book
from stainbook.colour import delta_e_2000, spectrum_to_lab
from stainbook.kept import Firing, Outcome
from stainbook.lab import Lab
from stainbook.records import Layer, Pot, Reading, Viewing
from stainbook.work.photo.photo_case import case_targets, viewing_in
from stainbook.work.photo.photo_colours import PhotoAsked, photo
from stainbook.work.photo.photo_expected import expected_of
from stainbook.work.reading.viewing_conditions import Asked
from stainbook.work.stains.stain_calibration import ChipFiles, calibrate_files
from tests.photo.shots import by_kind, scene_yaml, table, write_tiff
from tests.work.labs import WORLD, book_in, made, write
from tests.worlds.photo_scenes import render
from tests.worlds.photo_spectra import NM
from tests.worlds.pigments import WAVELENGTHS
from tests.worlds.samples import to_reading

LAYERS = (Layer(Pot.of({"saddle": 0.5}), 1),)
CASE = "case: W-9\nstage: glazed\nzones:\n  - {tooth: 11, zone: cervical}\n"


@pytest.fixture(scope="module")
def fired():
    """Curves of a blank and of what the lab's own physics make of it, on 400-700 nm by 10."""
    body = WORLD.body("plate-pale")
    return WORLD.read(body), WORLD.read(WORLD.fire(body, LAYERS, ideal=True))


@pytest.fixture(scope="module")
def lab(tmp_path_factory):
    folder = write(tmp_path_factory.mktemp("lab"), made())
    with book_in(folder) as book:
        calibrate_files(book, ChipFiles(folder / "chips.csv", folder / "readings.csv", folder / "stains.yaml"))
    return folder


@pytest.fixture
def case(tmp_path):
    path = tmp_path / "W-9.yaml"
    path.write_text(CASE)
    return path


def told(lab, case, fired, *, after):
    """A copy of the lab's book in which the zone was fired; ``after`` is what was read then."""
    url = f"sqlite:///{case.parent / 'lab.db'}"
    (case.parent / "lab.db").write_bytes((lab / "lab.db").read_bytes())
    before = to_reading("W-9-11-cervical", fired[0], "matt")
    when = "2026-03-02T10:40:00Z"
    outcome = Outcome("W-9", 11, "cervical", "tooth", when, LAYERS, after, before, material="zirconia", finish="glaze")
    with open_book(url) as book:
        book.add_firings([Firing("W-9", when)])
        book.add_outcomes([outcome])
    return url


def test_where_only_a_colour_was_read_the_firing_is_predicted(lab, case, fired):
    after = Reading("W-9-11-cervical", lab=(60.0, 3.0, 20.0), viewing=Viewing(), tissue="tooth")
    url = told(lab, case, fired, after=after)
    (found,) = expected_of(Lab.open(url).book, case, Asked()).values()
    assert found.by == "what is predicted of its firing"
    before, predicted, true = (
        spectrum_to_lab(curve, WAVELENGTHS, illuminant="D65", observer=10)
        for curve in (fired[0], found.reflectance, fired[1])
    )
    assert delta_e_2000(predicted, true) < 1.5  # as in test_predict
    assert delta_e_2000(before, true) > 3.0


def test_a_spectrum_that_was_read_after_the_firing_goes_first(lab, case, fired):
    url = told(lab, case, fired, after=to_reading("W-9-11-cervical", fired[1], "glazed"))
    (found,) = expected_of(Lab.open(url).book, case, Asked()).values()
    assert found.by == "what was read after its firing"
    np.testing.assert_allclose(found.reflectance, fired[1], atol=1e-5)  # files hold five digits


def test_the_predicted_spectrum_is_the_prior_of_that_very_zone_in_its_photo(lab, case, fired):
    """The zone in the picture is what the lab fires; the same picture of another piece is told to be unlike it."""
    after = Reading("W-9-11-cervical", lab=(60.0, 3.0, 20.0), viewing=Viewing(), tissue="tooth")
    wish, book = PhotoAsked(case=case), Lab.open(told(lab, case, fired, after=after)).book
    scene = render(4, "test", polarised=True)
    table(case.parent / "target.txt", scene)
    scene_yaml(case.parent / "s.yaml", scene, encoding="linear")
    (_, zone), *_ = by_kind(scene, "piece")
    (x0, y0), (x1, y1) = np.round(zone.polygon[[0, 2]]).astype(int)
    light = scene.flat[y0 : y1 + 1, x0 : x1 + 1] / (0.5 * scene.response.sum(axis=0))

    def shot(name, curve):
        painted = scene.raw.copy()
        painted[y0 : y1 + 1, x0 : x1 + 1] = light * (np.interp(NM, WAVELENGTHS, curve) @ scene.response)
        return photo(book, write_tiff(case.parent / name, painted), case.parent / "s.yaml", wish)

    other, own = shot("other.tif", 0.6 * fired[1]), shot("own.tif", fired[1])
    assert "unlike the spectrum expected, which was left out: 11 cervical" in other.method
    assert "what is predicted of its firing taken as likely of 11 cervical" in own.method
    assert own.zones[0].prior == "fired tooth"
    true = spectrum_to_lab(fired[1], WAVELENGTHS, illuminant="D65", observer=10)
    assert delta_e_2000([own.zones[0].L, own.zones[0].a, own.zones[0].b], true) < own.zones[0].u


def test_a_photo_is_seen_under_the_light_in_which_the_case_was_typed(lab, tmp_path):
    colour = "{L: 70, a: 1, b: 18, illuminant: D65, observer: 2}"
    (tmp_path / "W-8.yaml").write_text(
        f"case: W-8\nstage: glazed\nzones:\n  - {{tooth: 11, zone: cervical, now: {colour}, target: {colour}}}\n"
    )
    book = Lab.open(f"sqlite:///{lab / 'lab.db'}").book
    assert viewing_in(book, tmp_path / "W-8.yaml") == Viewing("D65", 2)
    assert set(case_targets(book, tmp_path / "W-8.yaml", Viewing("D65", 2), Asked())) == {(11, "cervical")}
    (tmp_path / "W-9.yaml").write_text(CASE)
    assert viewing_in(book, tmp_path / "W-9.yaml") is None
