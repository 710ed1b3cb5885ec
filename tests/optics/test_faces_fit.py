"""What clear-glaze chips tell of the ceramic's face, and what plates tell of the next piece."""

from dataclasses import replace

import numpy as np
import pytest

from stainbook.colour import delta_e_2000
from stainbook.optics.ceramic import Ceramic, base_of, through_face
from stainbook.optics.faces_fit import fit_face, is_clear_on_bare
from tests.optics.painted import PLATES, bare_chip, fired, layer
from tests.worlds.blind_trials import fired_chips, lab_of
from tests.worlds.lab import World
from tests.worlds.samples import trials

EXPECTED = Ceramic.of("zirconia")


def clear_chips(index, strays, *, surface="matt", rough=0.5):
    """Clear glaze on plates, pale and dark in turn, as this index, this rough share and this stray light make it."""
    made = []
    for i, stray in enumerate(strays):
        plate, reading = list(PLATES.items())[i % len(PLATES)]
        chip = replace(bare_chip(f"clear-{i}", plate, (layer(),), surface=surface), body=f"{plate}-{i}")
        base = base_of(reading, surface=surface, stray=stray, ceramic=Ceramic(index, rough=rough))
        made.append(replace(chip, reading=through_face(base)))
    return made


def test_which_chips_show_the_face():
    clear = bare_chip("clear", "pale", (layer(),), surface="matt")
    assert is_clear_on_bare(clear)
    assert is_clear_on_bare(bare_chip("p", "pale", (layer(),), surface="polished"))
    assert not is_clear_on_bare(bare_chip("glazed", "pale", (layer(),)))
    assert not is_clear_on_bare(bare_chip("bare", "pale", (layer(),), surface="matt", glazed=False))
    assert not is_clear_on_bare(bare_chip("stained", "pale", (layer(husk=1.0),), surface="matt"))


def test_without_chips_the_handbook_holds():
    assert fit_face(EXPECTED, []) == (EXPECTED, {})


@pytest.mark.parametrize("strays", [(0.03, 0.03), (0.03, 0.05), (0.02, 0.04)])
def test_what_clear_glaze_does_to_each_plate_is_met(strays):
    chips = clear_chips(2.15, strays)
    ceramic, known = fit_face(EXPECTED, chips)
    assert ceramic.known
    assert ceramic.index == pytest.approx(2.15, abs=0.03)
    for chip in chips:
        base = base_of(chip.body_reading, surface="matt", stray=known[chip.body], ceramic=ceramic)
        np.testing.assert_allclose(through_face(base), chip.reading, rtol=0, atol=2e-3)


@pytest.mark.parametrize("rough", [0.5, 0.7, 0.9])
def test_a_rough_face_is_told_from_stray_light_where_faces_are_alike(rough):
    ceramic, _ = fit_face(EXPECTED, clear_chips(2.15, (0.02, 0.02), rough=rough))
    assert ceramic.rough == pytest.approx(rough, abs=0.2)
    assert ceramic.stray == pytest.approx(0.02, abs=0.01)


@pytest.mark.parametrize("rough", [0.2, 0.6, 1.0])
def test_glaze_alone_on_a_matt_piece_is_met_whatever_its_face(rough):
    """Simulated by radiative transfer. A smooth face in its place leaves 0.1 to 0.4 at the median, up to 1.1."""
    world = World(seed=921, matt=True, roughness=rough)
    ceramic, _ = fit_face(EXPECTED, [chip for chip in fired_chips(world) if is_clear_on_bare(chip)])
    made = trials(world, 8)
    true = [lab_of(world.read(world.fire(one.body, (), ideal=True))) for one in made]
    told = [
        lab_of(through_face(base_of(one.before, surface="matt", stray=ceramic.stray, ceramic=ceramic))) for one in made
    ]
    assert np.median(delta_e_2000(np.array(told), np.array(true))) < {0.2: 0.25, 0.6: 0.12, 1.0: 0.2}[rough]


@pytest.mark.parametrize("index", [2.05, 2.25])
def test_an_index_that_serves_better_is_approached(index):
    ceramic, _ = fit_face(EXPECTED, clear_chips(index, (0.0, 0.0), surface="polished"))
    assert abs(ceramic.index - index) < 0.5 * abs(EXPECTED.index - index)
    assert (ceramic.stray, ceramic.stray_sd) == (EXPECTED.stray, EXPECTED.stray_sd)


def test_hopeless_chips_end_within_bounds():
    white = [replace(c, reading=np.full(31, 0.99)) for c in clear_chips(2.15, (0.02, 0.02))]
    ceramic, known = fit_face(EXPECTED, white)
    assert 1.3 <= ceramic.index <= 3.5
    assert all(-0.1 <= value <= 0.2 for value in known.values())


# ---------------------------------------------------------------- the next piece


@pytest.mark.parametrize("common", [0.01, 0.02, 0.05])
def test_plates_that_agree_are_trusted(common):
    found, _ = fit_face(EXPECTED, clear_chips(2.15, [common - 0.0005, common, common + 0.0005, common]))
    assert found.stray == pytest.approx(common, abs=0.01)
    assert found.stray_sd < 0.5 * EXPECTED.stray_sd


def test_plates_that_differ_leave_the_expected_scatter():
    found, _ = fit_face(EXPECTED, clear_chips(2.15, [0.02, 0.05, 0.06, 0.03]))
    assert abs(found.stray - EXPECTED.stray) < 0.01
    assert found.stray_sd > 0.9 * EXPECTED.stray_sd


def test_one_plate_says_little():
    one, three = (fit_face(EXPECTED, clear_chips(2.15, [EXPECTED.stray] * n))[0].stray_sd for n in (1, 3))
    assert three < one < EXPECTED.stray_sd * 1.2


def test_more_difference_never_makes_it_surer():
    apart = [[0.03 - d, 0.03 + d, 0.03 + d, 0.03 - d] for d in (0.0, 0.005, 0.01, 0.02)]
    spread = [fit_face(EXPECTED, clear_chips(2.15, strays))[0].stray_sd for strays in apart]
    assert np.diff(spread).min() > -1e-6


def test_chips_of_the_made_face_are_met():
    """What the fit makes of the plates puts the clear chips where they were read."""
    chips = clear_chips(2.15, (0.01, 0.05))
    ceramic, known = fit_face(EXPECTED, chips)
    chips = [replace(c, stray=known[c.body]) for c in chips]
    made = fired(chips, {"clear": np.r_[np.full(62, -12.0), 1.0, 0.0]}, ceramic=ceramic)
    for chip, again in zip(chips, made, strict=True):
        np.testing.assert_allclose(again.reading, chip.reading, rtol=0, atol=2e-3)


def test_a_face_of_another_stage_than_the_plates_is_expected_as_faces_differ():
    """Plates read as sintered agree on no stray light; that says little of a piece that was blasted."""
    chips = [replace(chip, body_stage="sintered") for chip in clear_chips(2.15, (0.0, 0.0))]
    found, _ = fit_face(EXPECTED, chips)
    blasted = found.read_at("blasted")
    assert found.read_at("sintered") == found.read_at(None) == found.read_at("glazed") == found
    assert found.stray < 0.6 * blasted.stray
    assert blasted.stray < EXPECTED.stray
    assert blasted.stray_sd > 1.5 * found.stray_sd
    mixed, _ = fit_face(EXPECTED, [replace(chips[0], body_stage="blasted"), *chips[1:]])
    assert mixed.read_at("blasted") == mixed
