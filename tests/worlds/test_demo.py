"""The demonstration lab: the shipped files are what the script makes, and they show what they should."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import numpy as np
import pytest
import yaml

from stainbook.colour import delta_e_2000
from tests.worlds import make_demo
from tests.worlds.coloured import lab_of
from tests.worlds.demo_lab import ARCH, DEMO_WORLD, GUM_TABS, SINGLE, TOOTH_TABS

LAST_DIGIT = 1.01e-5  # another linear algebra library may round the fifth decimal the other way


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("recipes")
    make_demo.main(folder)
    return folder


def readings(path: Path) -> dict[str, np.ndarray]:
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return {
        row["sample"]: np.array([float(row[str(nm)]) for nm in range(400, 701, 10)]) for row in csv.DictReader(lines)
    }


def _files(folder: Path) -> list[str]:
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())


def lab_colours(path: Path) -> dict[str, np.ndarray]:
    return {sample: lab_of(spectrum) for sample, spectrum in readings(path).items()}


def test_shipped_files_are_what_the_script_makes(made: Path) -> None:
    shipped = make_demo.FOLDER
    places = _files(made)
    assert _files(shipped) == places
    for place in places:
        path = made / place
        ours, theirs = path.read_text(encoding="utf-8"), (shipped / place).read_text(encoding="utf-8")
        number = re.compile(r"\b0\.\d{5}\b")
        assert number.sub("#", ours) == number.sub("#", theirs), place
        np.testing.assert_allclose(
            [float(x) for x in number.findall(ours)],
            [float(x) for x in number.findall(theirs)],
            rtol=0,
            atol=LAST_DIGIT,
            err_msg=place,
        )


def test_it_is_said_to_be_simulated() -> None:
    for path in map(make_demo.FOLDER.joinpath, _files(make_demo.FOLDER)):
        if path.name not in {"chips.csv", "bodies.csv", "guide.csv", "recipes.csv"}:
            assert "simulated" in path.read_text(encoding="utf-8").lower(), path.name


def test_guide_tabs_have_the_colours_they_were_made_for() -> None:
    colours = lab_colours(make_demo.FOLDER / "readings.csv")
    for tab, zones in (TOOTH_TABS | GUM_TABS).items():
        for zone, wanted in zones.items():
            # 0.1 % noise a band moves a colour by some 0.1
            assert delta_e_2000(colours[f"house/{tab}/{zone}"], np.array(wanted)) < 0.35, f"{tab} {zone}"


def test_colours_are_those_of_teeth_and_gum() -> None:
    for case in (ARCH, SINGLE):
        for sample, (L, a, b) in lab_colours(make_demo.FOLDER / f"{case}.csv").items():
            gum = sample.rsplit("-", 1)[-1] in ("margin", "papilla", "attached", "mucosa")
            assert (50 < L < 62 and 11 < a < 17) if gum else (62 < L < 80 and -2 < a < 6), sample
            assert 6 < b < 25, sample


def test_every_reference_of_the_cases_is_there() -> None:
    for path in make_demo.FOLDER.glob("W-*.yaml"):
        case = yaml.safe_load(path.read_text(encoding="utf-8"))
        for zone in case["zones"]:
            for reference in (zone.get("now", {}), zone.get("target", {})):
                if "file" in reference:
                    assert reference["sample"] in readings(make_demo.FOLDER / reference["file"])
                if "guide" in reference:
                    tabs = readings(make_demo.FOLDER / "readings.csv")
                    assert f"{reference['guide']}/{reference['tab']}/{zone['zone']}" in tabs


def test_the_arch_has_twelve_teeth_and_gum() -> None:
    case = yaml.safe_load((make_demo.FOLDER / f"{ARCH}.yaml").read_text(encoding="utf-8"))
    kinds = [zone["zone"] in ("cervical", "middle", "incisal", "occlusal") for zone in case["zones"]]
    assert len({zone["tooth"] for zone in case["zones"]}) == 12
    assert (sum(kinds), len(kinds) - sum(kinds)) == (36, 12)


def test_one_zone_is_there_already_and_one_is_darker_than_its_target() -> None:
    colours = lab_colours(make_demo.FOLDER / f"{ARCH}.csv")
    tabs = TOOTH_TABS["oat-mid"]
    assert delta_e_2000(colours["W-1042-11-incisal"], np.array(tabs["incisal"])) < 0.8
    assert colours["W-1042-12-cervical"][0] < tabs["cervical"][0] - 5


def test_the_finished_cases_were_fired_by_two_hands_and_not_all_at_once() -> None:
    firings = [yaml.safe_load(path.read_text()) for path in (make_demo.FOLDER / "finished/firings").iterdir()]
    assert {one["operator"] for one in firings} == {"bench-1", "bench-2"}
    assert {one.get("returned") for one in firings} == {None, "shade", "fit"}
    assert all("minutes" in one and "programme" in one for one in firings)
    assert 30 <= sum(len(one["zones"]) for one in firings) <= 40
    lots = {one["lots"]["saddle"] for one in firings if "saddle" in one.get("lots", {})}
    assert len(lots) == 2


def test_chips_show_every_stain() -> None:
    rows = list(csv.DictReader((make_demo.FOLDER / "chips.csv").read_text(encoding="utf-8").splitlines()))
    shown = {row["stain"] for row in rows}
    assert shown == {*DEMO_WORLD.stains, "bracken", "clear"}
    samples = readings(make_demo.FOLDER / "readings.csv")
    assert all(row["chip"] in samples and row["body"] in samples for row in rows)
