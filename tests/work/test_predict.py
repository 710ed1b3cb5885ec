"""Predicting from files: colours, doubts, whose hand and lot is meant, and what is refused."""

import json
import shutil

import numpy as np
import pytest

from stainbook.colour import delta_e_2000
from stainbook.errors import FileError, InputError, UnknownNameError
from stainbook.records import Viewing
from stainbook.work.reading.viewing_conditions import Asked
from stainbook.work.stains.predict import Meant, predict_files
from stainbook.work.stains.stain_calibration import ChipFiles, calibrate_files
from tests.work.labs import WORLD, book_in, made, recipes, write
from tests.worlds.fired_labs import colour
from tests.worlds.samples import to_reading
from tests.worlds.write import write_readings

ROWS = (
    ("plain", "plate-pale", 1, "clear", 1, 1),
    ("neck", "plate-pale", 1, "saddle", 0.5, 1),
    ("gum", "plate-dark", 1, "thrift", 0.25, 2),
    ("gum", "plate-dark", 2, "saddle", 0.25, 1),
)


@pytest.fixture(scope="module")
def lab(tmp_path_factory):
    folder = write(tmp_path_factory.mktemp("lab"), made())
    with book_in(folder) as book:
        calibrate_files(book, ChipFiles(folder / "chips.csv", folder / "readings.csv", folder / "stains.yaml"))
    recipes(folder / "recipes.csv", *ROWS)
    return folder


def predicted(folder, *, listed="recipes.csv", readings="readings.csv", asked=None, **meant):
    with book_in(folder) as book:
        result = predict_files(book, folder / listed, folder / readings, asked, Meant(**meant))
    return {one.recipe: one for one in result.recipes}, result


def lab_of(one):
    return np.array([one.L, one.a, one.b])


def test_colours_are_those_that_the_lab_would_fire(lab):
    found, _ = predicted(lab)
    from stainbook.files import read_recipes

    for recipe in read_recipes(lab / "recipes.csv").records:
        true = colour(WORLD.read(WORLD.fire(WORLD.body(recipe.body), recipe.layers, ideal=True)), Viewing())
        off = float(delta_e_2000(lab_of(found[recipe.recipe]), true))
        assert off < min(1.5, found[recipe.recipe].dE00_p90)


def test_spectrum_colour_and_light_belong_together(lab):
    found, result = predicted(lab, asked=Asked("A", 2))
    for one in result.recipes:
        assert (one.illuminant, one.observer) == ("A", 2)
        np.testing.assert_allclose(colour(np.array(one.reflectance), Viewing("A", 2)), lab_of(one), rtol=0, atol=1e-9)
    default, _ = predicted(lab)
    assert (default["neck"].illuminant, default["neck"].observer) == ("D65", 10)
    assert default["neck"].reflectance == found["neck"].reflectance


def test_the_same_question_has_the_same_answer(lab):
    first, again = predicted(lab)[1], predicted(lab)[1]
    assert first == again
    assert json.loads(first.model_dump_json()) == json.loads(again.model_dump_json())


def test_more_stain_more_doubt(lab):
    found, _ = predicted(lab)
    assert found["plain"].dE00_p90 < found["neck"].dE00_p90 < 4.0


def test_the_only_technician_is_meant_and_is_surer_than_others(lab):
    own, nobody, other = (predicted(lab, operator=name)[0]["neck"] for name in ("bench-1", None, "bench-9"))
    assert own.dE00_p90 == nobody.dE00_p90
    assert own.dE00_p90 < other.dE00_p90
    assert (own.L, nobody.L) == (other.L, other.L)


def test_a_new_lot_widens_the_doubt_of_what_holds_it(lab):
    known, new = predicted(lab)[0], predicted(lab, lots={"saddle": "24-9"})[0]
    assert new["neck"].dE00_p90 > known["neck"].dE00_p90
    assert new["plain"].dE00_p90 == known["plain"].dE00_p90
    assert predicted(lab, lots={"saddle": "chips"})[0]["neck"].dE00_p90 == known["neck"].dE00_p90


def test_what_is_assumed_is_said(lab):
    _, result = predicted(lab, lots={"saddle": "24-9"}, programme="glaze-770")
    assumes = result.assumes
    assert (assumes.operator, assumes.programme, assumes.finish) == ("bench-1", "glaze-770", "glaze")
    assert (assumes.lots["saddle"], assumes.lots["thrift"]) == ("24-9", "chips")
    assert all(one.assumes == assumes for one in result.recipes)


def test_a_stain_without_a_chip_is_predicted_from_its_family_and_said(tmp_path):
    folder = write(tmp_path, made(0))
    with book_in(folder) as book:
        calibrate_files(book, ChipFiles(folder / "chips.csv", folder / "readings.csv", folder / "stains.yaml"))
    recipes(folder / "recipes.csv", *ROWS)
    found, _ = predicted(folder)
    assert found["neck"].dE00_p90 > 4.0
    assert "saddle has no stripe yet" in found["neck"].warnings[0]
    assert found["plain"].warnings == []


def test_only_the_ratio_is_predicted_so_that_wider_data_keep_their_ends(lab, tmp_path):
    pale = next(r for r in made().readings if r.sample == "plate-pale")
    wide = tuple(range(380, 731, 10))
    R = np.interp(wide, pale.wavelengths, pale.reflectance)
    R[0], R[-1] = R[0] - 0.1, R[-1] + 0.05
    body = pale.__class__("plate-pale", tuple(map(float, wide)), tuple(R.tolist()), stage="sintered", surface="matt")
    shutil.copytree(lab, tmp_path / "wide")
    write_readings(tmp_path / "wide" / "readings.csv", [body])
    recipes(tmp_path / "wide" / "recipes.csv", ("neck", "plate-pale", 1, "saddle", 0.5, 1))
    found, _ = predicted(tmp_path / "wide")
    one = found["neck"]
    assert one.wavelengths == list(wide)
    ratio = np.array(one.reflectance) / np.round(R, 5)
    np.testing.assert_allclose(ratio[:2], ratio[2], rtol=0, atol=1e-3)
    np.testing.assert_allclose(ratio[-3:], ratio[-4], rtol=0, atol=1e-3)


@pytest.mark.parametrize(("asked", "observer"), [(Asked("D65", 2), 2), (Asked(), 2)])
def test_bodies_read_as_lab_alone(lab, tmp_path, asked, observer):
    pale = next(r for r in made().readings if r.sample == "plate-pale")
    L, a, b = np.round(colour(np.array(pale.reflectance), Viewing("D65", 2)), 2)
    shutil.copytree(lab, tmp_path / "lab")
    text = f"sample,stage,surface,L,a,b,illuminant,observer\nplate-pale,sintered,matt,{L},{a},{b},D65,2\n"
    (tmp_path / "lab" / "readings.csv").write_text(text, encoding="utf-8")
    recipes(tmp_path / "lab" / "recipes.csv", ("neck", "plate-pale", 1, "saddle", 0.5, 1))
    one = predicted(tmp_path / "lab", asked=asked)[0]["neck"]
    spectral = predicted(lab, asked=Asked("D65", 2))[0]["neck"]
    assert (one.illuminant, one.observer) == ("D65", observer)
    assert float(delta_e_2000(lab_of(one), lab_of(spectral))) < 0.4
    assert one.dE00_p90 > 0.9 * spectral.dE00_p90


def test_the_finish_of_a_bare_piece(lab, tmp_path):
    """Polished and unstained it stays what it is; glazed it lightens."""
    shutil.copytree(lab, tmp_path / "bare")
    body = to_reading("piece", WORLD.read(WORLD.body("body-001")), "polished")
    write_readings(tmp_path / "bare" / "readings.csv", [body])
    recipes(tmp_path / "bare" / "recipes.csv", ("glazed", "piece", 1, "clear", 1, 1))
    found, _ = predicted(tmp_path / "bare")
    assert found["glazed"].L > colour(np.array(body.reflectance), Viewing())[0] + 1.0


# ---------------------------------------------------------------- refusals


def test_nothing_calibrated(tmp_path):
    folder = write(tmp_path, made(1))
    recipes(folder / "recipes.csv", *ROWS)
    with pytest.raises(InputError, match="stainbook calibrate"):
        predicted(folder)


def test_an_unknown_stain_names_the_nearest(lab):
    recipes(lab / "typo.csv", ("x", "plate-pale", 1, "sadle", 0.5, 1))
    with pytest.raises(UnknownNameError, match=r"sadle.*nearest known: saddle"):
        predicted(lab, listed="typo.csv")


def test_a_body_without_reading(lab):
    recipes(lab / "nobody.csv", ("x", "plate-grey", 1, "saddle", 0.5, 1))
    with pytest.raises(FileError, match="body 'plate-grey' without a reading"):
        predicted(lab, listed="nobody.csv")
