"""Colours that were read in unlike ways: alike, brought over with doubt, or said."""

from dataclasses import asdict, replace

import numpy as np
import pytest

from stainbook.apparatus import Instrument
from stainbook.colour import delta_e_2000, spectrum_to_lab
from stainbook.optics.ceramic import FILM, Ceramic, has_bare_face
from stainbook.optics.film import Piece, reading_after
from stainbook.records import Reading, Viewing
from stainbook.work.reading.compare import compare
from stainbook.work.reading.optical import optical, surface_of
from stainbook.work.reading.plate_and_piece import Pieces
from stainbook.work.reading.reading_conditions import (
    AS_READ,
    ReadWith,
    brought,
    brought_lab,
    chips_read_with,
    crossing,
    lab_doubt,
    mirror_of,
    one_spelling,
    said,
)
from stainbook.work.stains.predict import predict_files
from stainbook.work.stains.stain_calibration import ChipFiles, calibrate_files
from tests.cli.console import write as write_lines
from tests.work.labs import WORLD, book_in, made, recipes, write
from tests.worlds import adding_doubling as ad
from tests.worlds.lab import World
from tests.worlds.samples import to_reading
from tests.worlds.write import write_readings

BANDS = tuple(float(w) for w in range(400, 701, 10))
R = np.linspace(0.3, 0.6, 31)
ZIRCONIA = Ceramic.of("zirconia")
EXCLUDED = ReadWith("own", "8:d", "excluded", 6.0)


@pytest.mark.parametrize(
    ("written", "same"),
    [
        ("8:d", "8:d"),
        ("d/8", "8:d"),
        ("8°:di", "8:d"),
        ("sphere", "8:d"),
        ("d:0", "8:d"),
        ("45/0", "45:0"),
        ("0°:45°a", "45:0"),
    ],
)
def test_one_geometry_has_one_spelling(written, same):
    assert one_spelling(written) == same


def test_a_geometry_that_is_not_known_is_itself():
    assert one_spelling("multi angle") == "multiangle"
    assert one_spelling(None) is None


# ---------------------------------------------------------------- the way


def test_alike_is_no_way_and_says_nothing():
    way = crossing(EXCLUDED, EXCLUDED, surface="matt", ceramic=ZIRCONIA)
    assert way == replace(AS_READ, specular="excluded")
    assert not way
    assert not crossing(ReadWith(), ReadWith(), surface="glazed", ceramic=ZIRCONIA)


def test_the_mirror_image_of_glaze_is_what_fresnel_has():
    """0.0400 of index 1.50: tests/published/fresnel_diffuse.csv; 8 degrees change 6e-6 of it."""
    way = crossing(replace(EXCLUDED, specular="included"), EXCLUDED, surface="glazed", ceramic=ZIRCONIA)
    assert way.shift == pytest.approx(-0.0400, abs=1e-4)
    assert way.shift_sd == pytest.approx(0.1 * 0.0400, abs=1e-5)
    assert "specular included, not excluded" in way.told[0]
    back = crossing(EXCLUDED, replace(EXCLUDED, specular="included"), surface="glazed", ceramic=ZIRCONIA)
    assert back.shift == -way.shift


@pytest.mark.parametrize("matt", [False, True])
def test_simulated_faces_are_brought_over_within_the_doubt(matt):
    world = World(seed=5, matt=matt)
    surface = world._bare_surface if matt else world._glazed_surface
    name = "matt" if matt else "glazed"
    ceramic = replace(ZIRCONIA, stray=0.12 * 0.133) if matt else ZIRCONIA  # what clear-glaze chips tell
    shift, sd = mirror_of(name, ceramic)
    for body in world.bodies(3):
        whole = np.asarray(ad.sphere_reading(surface, body.reflection, surface_seen=1.0).mean(axis=0))
        np.testing.assert_allclose(whole - world.read(body), shift, rtol=0, atol=2.0 * sd)


def test_one_side_that_says_nothing_widens_the_doubt_and_is_said():
    unsaid, known = ReadWith(), replace(EXCLUDED, specular="included")
    for own, to in ((unsaid, known), (known, unsaid)):
        way = crossing(own, to, surface="glazed", ceramic=ZIRCONIA)
        assert way.shift == 0.0
        full = crossing(EXCLUDED, known, surface="glazed", ceramic=ZIRCONIA)
        assert 0.0 < way.shift_sd < abs(full.shift)
        assert way.level_sd > 0.0
        assert sum("unstated" in line for line in way.told) == 4


@pytest.mark.parametrize(
    ("what", "other", "sd"), [("geometry", "45:0", 0.03), ("instrument", "lent", 0.05), ("aperture_mm", 3.0, 0.05)]
)
def test_another_geometry_instrument_or_port_widens_the_doubt(what, other, sd):
    own = replace(EXCLUDED, **{what: other})
    way = crossing(own, EXCLUDED, surface="glazed", ceramic=ZIRCONIA)
    assert (way.shift, way.shift_sd) == (0.0, 0.0)
    assert way.level_sd == pytest.approx(sd)
    assert way.tilt_sd > 0.0
    assert len(way.told) == 1


def test_ports_of_nearly_one_size_are_alike():
    assert not crossing(replace(EXCLUDED, aperture_mm=5.0), EXCLUDED, surface="glazed", ceramic=ZIRCONIA)
    assert crossing(replace(EXCLUDED, aperture_mm=4.7), EXCLUDED, surface="glazed", ceramic=ZIRCONIA)


def test_a_ring_sees_no_mirror_image():
    ring = ReadWith.of(Reading("x", BANDS, tuple(R), geometry="45/0"))
    assert ring.specular == "excluded"


def test_the_usual_is_what_most_say():
    one, two = Reading("a", geometry="8:d", specular="excluded"), Reading("b", geometry="d/8", instrument="other")
    assert ReadWith.usual([one, one, two]) == ReadWith(None, "8:d", "excluded", None)
    assert ReadWith.usual([]) == ReadWith()


# ---------------------------------------------------------------- bringing colours over


def test_lab_alone_is_brought_over_as_its_spectrum_is():
    way = crossing(replace(EXCLUDED, specular="included"), EXCLUDED, surface="glazed", ceramic=ZIRCONIA)
    spectrum = Reading("x", BANDS, tuple(R), specular="included", surface="glazed")
    there = brought(spectrum, way)
    np.testing.assert_allclose(there.reflectance, R - 0.0400, rtol=0, atol=1e-4)
    assert there.specular == "excluded"

    def lab(values):
        return spectrum_to_lab(np.asarray(values), BANDS, illuminant="D65", observer=10)

    np.testing.assert_allclose(brought_lab(lab(R), way), lab(there.reflectance), rtol=0, atol=0.02)


def test_the_doubt_of_lab_is_that_of_its_spectrum():
    way = crossing(ReadWith(), EXCLUDED, surface="glazed", ceramic=ZIRCONIA)
    lab = spectrum_to_lab(R, BANDS, illuminant="D65", observer=10)
    found = optical(Reading("x", BANDS, tuple(R), surface="glazed"))
    more = found.crossing(way).ln_covariance - found.ln_covariance
    values, vectors = np.linalg.eigh(more)
    moved = np.exp(np.log(R) + (vectors * np.sqrt(np.maximum(values, 0.0))).T)
    rows = spectrum_to_lab(moved, BANDS, illuminant="D65", observer=10) - lab
    scale = np.sqrt(np.diag(rows.T @ rows))
    np.testing.assert_allclose(np.sqrt(np.diag(lab_doubt(lab, way))), scale, rtol=0.25, atol=0.05)


def test_a_photo_has_its_own_doubt():
    photo = Reading("x", lab=(70.0, 1.0, 15.0), viewing=Viewing(), notes="photo", u=2.0)
    assert not Pieces(chips=EXCLUDED).way(photo)


def test_a_piece_read_through_the_same_small_port_as_the_plates_is_told():
    """It loses light that a plate keeps: untold, the radius of 9 in 10 held two thirds (see the ladder)."""
    small = replace(EXCLUDED, aperture_mm=3.0)
    pieces = Pieces(frozenset({"plate"}), chips=small)
    own = Reading("x", BANDS, tuple(R), surface="glazed", **asdict(small))

    def told(pieces=pieces, **other):
        return pieces.laid_on(optical(replace(own, **other))).crossed.told

    (line,) = told()
    assert "aperture 3 mm, through which a piece loses light that a plate keeps (± 4.0%)" in line
    wider = pieces.laid_on(optical(own)).ln_covariance - optical(own).ln_covariance
    assert np.sqrt(wider[15, 15]) == pytest.approx(0.04, abs=1e-3)
    assert not pieces.way(own)  # two readings through one port compare as they are
    assert not told(sample="plate")
    assert not told(Pieces(chips=replace(small, aperture_mm=6.0)), aperture_mm=6.0)
    measured = Instrument("own", Viewing("D65", 10), piece_offset=(-1.0, 0.0, 0.0), piece_doubt=(0.3, 0.2, 0.2))
    assert not told(Pieces(frozenset(), {"own": measured}, small), instrument="own")


def test_one_line_for_all_that_was_brought_over_alike():
    way = crossing(replace(EXCLUDED, specular="included"), EXCLUDED, surface="glazed", ceramic=ZIRCONIA)
    (line,) = said([("a", way), ("b", way), ("c", AS_READ), ("a", way)], against="the chips")
    assert line.startswith("a and 1 more read unlike the chips: specular included, not excluded")


# ---------------------------------------------------------------- where colours meet


@pytest.fixture(scope="module")
def lab(tmp_path_factory):
    folder = write(tmp_path_factory.mktemp("lab"), made())
    with book_in(folder) as book:
        calibrate_files(book, ChipFiles(folder / "chips.csv", folder / "readings.csv", folder / "stains.yaml"))
    recipes(folder / "recipes.csv", ("neck", "body-000", 1, "saddle", 0.25, 1))
    return folder


def read_body(**said_of):
    body = WORLD.body("body-000")
    true = WORLD.read(body)
    if said_of.get("specular") == "included":
        true = np.asarray(ad.sphere_reading(WORLD._bare_surface, body.reflection, surface_seen=1.0).mean(axis=0))
    return replace(to_reading("body-000", true, "matt"), **said_of)


def predicted(lab, tmp_path, **said_of):
    write_readings(tmp_path / "piece.csv", [read_body(**said_of)])
    with book_in(lab) as book:
        result = predict_files(book, lab / "recipes.csv", tmp_path / "piece.csv")
    (one,) = result.recipes
    return np.array([one.L, one.a, one.b]), one.dE00_p90, result.warnings


def test_the_fit_keeps_how_its_chips_were_read(lab):
    with book_in(lab) as book:
        assert chips_read_with(book) == ReadWith(None, "8:d", "excluded", None)


def test_a_piece_read_with_its_mirror_image_is_brought_over_and_said(lab, tmp_path):
    """It was 4 to 7 ΔE00 off without a word."""
    plain, narrow, nothing = predicted(lab, tmp_path)
    found, wide, told = predicted(lab, tmp_path, specular="included")
    assert nothing == []
    assert "specular included, not excluded" in told[0]
    assert delta_e_2000(found, plain) < wide
    assert delta_e_2000(found, plain) < 2.0
    assert wide > narrow


def test_another_instrument_is_said_and_the_doubt_grows(lab, tmp_path):
    _, narrow, _ = predicted(lab, tmp_path)
    _, wide, told = predicted(lab, tmp_path, geometry="45:0")
    assert wide > 1.2 * narrow
    assert "geometry 45:0, not 8:d" in told[0]


def test_compare_brings_the_target_to_the_sample(tmp_path):
    head = "sample,tissue,specular," + ",".join(f"{w:g}" for w in BANDS)

    def row(specular, shift):
        return f"x,tooth,{specular}," + ",".join(f"{value + shift:.5f}" for value in R)

    left = write_lines(tmp_path / "samples.csv", head, row("excluded", 0.0))
    right = write_lines(tmp_path / "targets.csv", head, row("included", 0.0400))
    result = compare(left, right)
    assert result.pairs[0].dE00 < 0.05
    assert "x read unlike the sample of its name: specular included, not excluded" in result.warnings[0]


# ---------------------------------------------------------------- under a film


@pytest.mark.parametrize(
    ("film", "surface", "read"),
    [
        ("glycerine", "matt", FILM), ("stain liquid", "matt", FILM), ("water", "matt", "wet"), ("none", "matt", "matt"),
        ("glycerine", "glazed", "glazed"), (None, "matt", "matt"),
    ],
)  # fmt: skip
def test_a_film_is_read_through_and_a_bare_face_stays_bare(film, surface, read):
    found = surface_of(Reading("x", BANDS, tuple(R), surface=surface, film=film))
    assert found == read
    assert has_bare_face(found) == (surface == "matt")


def test_a_matt_face_under_a_film_is_what_it_is_under_clear_glaze():
    """No stray light is left: the film's reading is that of the glazed piece, whatever the face threw back."""
    world = World(seed=5, matt=True)
    for body in world.bodies(3):
        film = ad.sphere_reading(world._glazed_surface, ad.cover(world._inner_surface, body.reflection)).mean(axis=0)
        glazed = world.read(world.fire(body, (), ideal=True))
        piece = Piece(np.asarray(film), FILM, 0.0, ZIRCONIA)
        none = np.zeros((0, 1, 31))
        after = reading_after(piece, none, none)
        off = spectrum_to_lab(np.vstack([after.reshape(31), glazed]), BANDS, illuminant="D65", observer=10)
        assert delta_e_2000(*off) < 1.0  # the clear glaze itself scatters a little
