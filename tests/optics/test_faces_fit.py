"""What clear-glaze chips tell of the ceramic's face, and what plates tell of the next piece."""

from dataclasses import replace

import numpy as np
import pytest

from stainbook.optics.ceramic import Ceramic, base_of, through_face
from stainbook.optics.faces_fit import fit_face, is_clear_on_bare, stray_of_next
from tests.optics.painted import PLATES, bare_chip, fired, layer

EXPECTED = Ceramic.of("zirconia")


def clear_chips(index, strays, *, surface="matt"):
    """Clear glaze on plates as this index and this stray light make it."""
    made = []
    for (plate, reading), stray in zip(PLATES.items(), strays, strict=True):
        chip = bare_chip(f"clear-{plate}", plate, (layer(),), surface=surface)
        base = base_of(reading, surface=surface, stray=stray, ceramic=Ceramic(index))
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


@pytest.mark.parametrize("strays", [(0.02, 0.02), (0.01, 0.05), (0.0, 0.03)])
def test_stray_light_of_each_plate_is_found(strays):
    ceramic, known = fit_face(EXPECTED, clear_chips(2.15, strays))
    assert ceramic.known
    assert ceramic.index == pytest.approx(2.15, abs=0.02)
    for plate, stray in zip(PLATES, strays, strict=True):
        assert known[plate] == pytest.approx(stray, abs=0.003)


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


@pytest.mark.parametrize("common", [0.0, 0.02, 0.05])
def test_plates_that_agree_are_trusted(common):
    mean, sd = stray_of_next([common - 0.0005, common, common + 0.0005, common], EXPECTED)
    assert mean == pytest.approx(common, abs=0.006)
    assert sd < 0.5 * EXPECTED.stray_sd


def test_plates_that_differ_leave_the_expected_scatter():
    mean, sd = stray_of_next([0.005, 0.05], EXPECTED)
    assert abs(mean - EXPECTED.stray) < 0.01
    assert sd > 0.9 * EXPECTED.stray_sd


def test_one_plate_says_little():
    _, one = stray_of_next([EXPECTED.stray], EXPECTED)
    _, three = stray_of_next([EXPECTED.stray] * 3, EXPECTED)
    assert three < one < EXPECTED.stray_sd * 1.2


def test_more_difference_never_makes_it_surer():
    spread = [stray_of_next([0.03 - d, 0.03 + d], EXPECTED)[1] for d in (0.0, 0.005, 0.01, 0.02)]
    assert spread == sorted(spread)


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
    assert found.stray < 0.4 * blasted.stray
    assert blasted.stray < EXPECTED.stray
    assert blasted.stray_sd > 1.5 * found.stray_sd
    mixed, _ = fit_face(EXPECTED, [replace(chips[0], body_stage="blasted"), *chips[1:]])
    assert mixed.read_at("blasted") == mixed
