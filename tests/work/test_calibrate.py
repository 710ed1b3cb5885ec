"""Calibrating from files: what is learnt, stored, warned of and refused; files as awkward as labs make them."""

import numpy as np
import pytest

from stainbook.errors import FileError, InputError
from stainbook.records import Layer, Pot, Viewing
from stainbook.work.reading.optical import optical
from stainbook.work.reading.viewing_conditions import Asked
from stainbook.work.stains.learnt import learnt
from stainbook.work.stains.stain_calibration import ChipFiles, calibrate_files, fired_chip, only_material
from tests.work.labs import WORLD, book_in, changed, made, more, only, write
from tests.worlds.fired_labs import colour
from tests.worlds.samples import to_reading

SEVEN = made()


def calibrated(folder, fired, **more):
    write(folder, fired)
    with book_in(folder) as book:
        files = ChipFiles(folder / "chips.csv", folder / "readings.csv", folder / "stains.yaml")
        result = calibrate_files(book, files, **more)
        return {one.stain: one for one in result.stains}, result, learnt(book)


def test_every_stain_is_described(tmp_path):
    stains, result, (optics, lots) = calibrated(tmp_path, SEVEN)
    assert list(stains) == ["saddle", "thrift", "clear"]
    assert [one.chips for one in stains.values()] == [7, 7, 2]
    assert all(one.dE00_median < one.dE00_left_out < 1.0 for one in stains.values())
    assert all(0.75 < one.strength_exponent < 1.05 and 0.9 < one.fade < 1.05 for one in stains.values())
    assert result.warnings == []
    assert [one.warnings for one in stains.values()] == [[], [], []]
    assert {one.fit for one in stains.values()} == {1}
    assert optics.operator == "bench-1"
    assert set(optics.stains) == {"saddle", "thrift", "clear"}
    assert lots["saddle"] == lots["thrift"] == "chips"


def test_again_is_a_new_revision_and_the_old_chips_count(tmp_path):
    write(tmp_path / "a", only(SEVEN, "saddle-1", "saddle-2", "clear-plate-pale"))
    write(tmp_path / "b", only(SEVEN, "saddle-3", "saddle-4"))
    with book_in(tmp_path) as book:
        for name, revision, count in (("a", 1, 2), ("b", 2, 4), ("b", 3, 4)):
            folder = tmp_path / name
            files = ChipFiles(folder / "chips.csv", folder / "readings.csv", folder / "stains.yaml")
            saddle = calibrate_files(book, files).stains[0]
            assert (saddle.stain, saddle.fit, saddle.chips) == ("saddle", revision, count)


def test_stains_without_a_chip_are_told(tmp_path):
    stains, result, _ = calibrated(tmp_path, only(SEVEN, "saddle-1"))
    assert (stains["saddle"].chips, stains["thrift"].chips, stains["clear"].chips) == (1, 0, 0)
    assert "no stripe yet" in stains["thrift"].warnings[0]
    assert "no clear-glaze stripe of zirconia" in result.warnings[0]
    assert stains["saddle"].dE00_left_out > 3 * stains["saddle"].dE00_median  # from the family alone


def test_a_stain_that_no_list_names_counts_as_any(tmp_path):
    listed = SEVEN.__class__(SEVEN.stains[1:], SEVEN.chips, SEVEN.readings)
    stains, _, (optics, _) = calibrated(tmp_path, listed)
    assert stains["saddle"].chips == 7
    assert optics.stains["saddle"].family is None
    assert stains["saddle"].dE00_median < 1.0


def test_a_swapped_label_is_named_at_its_stain(tmp_path):
    read = {r.sample: r.reflectance for r in SEVEN.readings}
    swapped = changed(SEVEN, saddle_1={"reflectance": read["saddle-3"]}, saddle_3={"reflectance": read["saddle-1"]})
    stains, _, _ = calibrated(tmp_path, swapped)
    assert stains["thrift"].warnings == []
    named = {line.split()[0] for line in stains["saddle"].warnings}
    assert {"saddle-3"} <= named <= {"saddle-1", "saddle-3"}
    assert all("contradicts the other stripes by" in line for line in stains["saddle"].warnings)


def test_another_instrument_is_named_and_held_back(tmp_path):
    write(tmp_path, SEVEN)
    path = tmp_path / "readings.csv"
    head, *rows = path.read_text(encoding="utf-8").splitlines()
    told = [f"{row},{'loan' if row.startswith('thrift-2,') else 'bench'}" for row in rows]
    path.write_text("\n".join([head + ",instrument", *told]), encoding="utf-8")
    with book_in(tmp_path) as book:
        result = calibrate_files(book, ChipFiles(tmp_path / "chips.csv", path, tmp_path / "stains.yaml"))
    stains = {one.stain: one for one in result.stains}
    assert stains["thrift"].chips == 6
    (line,) = stains["thrift"].warnings
    assert "thrift-2 was read with instrument loan, its plate plate-pale with bench" in line


@pytest.mark.parametrize("value", [0.0, 1.1])
def test_a_reading_that_cannot_be_is_named(tmp_path, value):
    stains, _, _ = calibrated(tmp_path, changed(SEVEN, saddle_2={"reflectance": (value,) * 31}))
    assert stains["saddle"].chips == 6
    assert stains["saddle"].warnings[0].startswith("saddle-2 contradicts")


def test_a_body_with_dead_bands_still_gives_an_answer(tmp_path):
    dark = {r.sample: r.reflectance for r in SEVEN.readings}["plate-dark"]
    stains, _, _ = calibrated(tmp_path, changed(SEVEN, plate_dark={"reflectance": (0.0,) * 3 + dark[3:]}))
    assert all(np.isfinite(one.dE00_left_out) for one in stains.values())


@pytest.mark.parametrize("surface", ["polished", "wet", None])
def test_plates_of_other_surfaces(tmp_path, surface):
    stains, _, _ = calibrated(tmp_path, changed(SEVEN, plate_dark={"surface": surface}))
    assert all(one.dE00_left_out < 1.5 for one in stains.values())


def test_a_chip_of_three_layers_and_two_stains(tmp_path):
    layers = (Layer(Pot.of({"saddle": 0.25, "thrift": 0.25})), Layer(Pot.of({"thrift": 0.5})), Layer(Pot.of({}), 2))
    mix = SEVEN.chips[-1].__class__("mix-1", "plate-pale", layers, "bench-1")
    fired = WORLD.read(WORLD.fire(WORLD.body("plate-pale"), layers, ideal=True))
    stains, _, _ = calibrated(tmp_path, more(SEVEN, mix, to_reading("mix-1", fired, "glazed", stage="stained")))
    assert (stains["saddle"].chips, stains["thrift"].chips) == (8, 8)
    assert stains["saddle"].warnings == stains["thrift"].warnings == []


def test_plates_of_two_materials_have_faces_of_their_own(tmp_path):
    write(tmp_path, SEVEN)
    (tmp_path / "bodies.csv").write_text("body,material\nplate-pale,zirconia\nplate-dark,alumina\n", encoding="utf-8")
    files = ChipFiles(*(tmp_path / name for name in ("chips.csv", "readings.csv", "stains.yaml", "bodies.csv")))
    with book_in(tmp_path) as book:
        calibrate_files(book, files)
        optics, _ = learnt(book)
    assert set(optics.ceramics) == {"zirconia", "alumina"}
    assert optics.ceramics["zirconia"].index > 2.0 > optics.ceramics["alumina"].index


# ---------------------------------------------------------------- L*a*b* alone


def write_lab_only(folder, fired):
    write(folder, fired)
    seen = Viewing("D65", 2)
    rows = [
        f"{r.sample},{r.stage},{r.surface}," + ",".join(f"{x:.2f}" for x in colour(np.array(r.reflectance), seen))
        for r in fired.readings
    ]
    (folder / "readings.csv").write_text("sample,stage,surface,L,a,b\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return ChipFiles(folder / "chips.csv", folder / "readings.csv", folder / "stains.yaml")


def test_readings_of_lab_alone_go_the_same_way(tmp_path):
    files = write_lab_only(tmp_path, SEVEN)
    with book_in(tmp_path) as book:
        result = calibrate_files(book, files, Asked("D65", 2))
    assert all(one.dE00_left_out < 1.5 for one in result.stains)
    assert all(one.warnings == [] for one in result.stains)


def test_lab_of_unknown_light_is_refused_and_nothing_is_stored(tmp_path):
    files = write_lab_only(tmp_path, SEVEN)
    with book_in(tmp_path) as book:
        with pytest.raises(InputError, match="--illuminant and --observer"):
            calibrate_files(book, files)
        assert (book.chips(), book.stains(), book.fit("optics")) == ((), {}, None)


# ---------------------------------------------------------------- refusals


def test_a_chip_without_a_reading_is_one_clear_line(tmp_path):
    fired = SEVEN.__class__(SEVEN.stains, SEVEN.chips, tuple(r for r in SEVEN.readings if r.sample != "thrift-3"))
    with pytest.raises(FileError, match=r"chips\.csv: row \d+: found chip 'thrift-3' without a reading"):
        calibrated(tmp_path, fired)


def test_a_body_without_a_reading_is_one_clear_line(tmp_path):
    fired = SEVEN.__class__(SEVEN.stains, SEVEN.chips, tuple(r for r in SEVEN.readings if r.sample != "plate-dark"))
    with pytest.raises(FileError, match="body 'plate-dark' without a reading"):
        calibrated(tmp_path, fired)


# ---------------------------------------------------------------- chips as the optics want them


def test_a_fired_chip(tmp_path):
    readings = {r.sample: r for r in SEVEN.readings}
    stains = {stain.name: stain for stain in SEVEN.stains}
    chip = next(chip for chip in SEVEN.chips if chip.chip == "saddle-2")
    found = fired_chip(chip, readings, {}, stains)
    assert (found.name, found.body, found.material) == ("saddle-2", "plate-pale", "zirconia")
    assert (found.body_surface, found.glazed) == ("matt", True)
    np.testing.assert_array_equal(found.reading, readings["saddle-2"].reflectance)
    both = optical(readings["plate-pale"]).ln_covariance + optical(readings["saddle-2"]).ln_covariance
    np.testing.assert_allclose(found.covariance, both)


def test_the_only_material_of_all_stains():
    stains = {stain.name: stain for stain in SEVEN.stains}
    assert only_material(stains) == "zirconia"
    assert only_material({}) is None
