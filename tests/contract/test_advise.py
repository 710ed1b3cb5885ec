"""The example case of the contract, word for word, through `advise`, on a small simulated lab."""

import csv
import json
from pathlib import Path

import jsonschema
import numpy as np
import pytest

from stainbook.colour import delta_e_2000_parts, lab_to_lch, lch_to_lab, spectrum_to_lab
from stainbook.records import Layer, Pot
from tests.cli.console import document, refusal, stainbook
from tests.contract.formats import block
from tests.worlds.coloured import blank_of_colour
from tests.worlds.lab import World
from tests.worlds.pigments import WAVELENGTHS
from tests.worlds.samples import to_reading
from tests.worlds.write import write_lab, write_readings

FAMILIES = {"husk": "brown", "teasel": "yellow", "flour": "white", "rosehip": "pink", "claret": "red"}
TEETH = (11, 12, 13, 22, 23)


@pytest.fixture(scope="module")
def lab(tmp_path_factory) -> Path:
    """A folder with a calibrated book, the case of the contract, and the readings that it names."""
    folder = tmp_path_factory.mktemp("lab")
    world = World(seed=7, matt=True, stains=FAMILIES)
    write_lab(world, folder)
    (folder / "readings.csv").rename(folder / "chip-readings.csv")
    (folder / "case.yaml").write_text(block("case.yaml"), encoding="utf-8")
    tooth, gum = world.piece(blank_of_colour(world, "tooth", "tooth", (74, 1, 14))), world.body("gum", "gingiva")
    rng = world.rng("contract")
    tab = world.fire(tooth, [Layer(Pot.of({"husk": 1 / 4}), 1)], ideal=True)
    target = world.fire(gum, [Layer(Pot.of({"rosehip": 1 / 4}), 1)], ideal=True)
    rows = [
        to_reading("W-1042-11-cervical", world.read(tooth, rng=rng), "matt", stage="blasted"),
        to_reading("W-1042-11-attached", world.read(gum, rng=rng), "matt", stage="blasted"),
        *(to_reading(f"house/oat-mid/{zone}", world.read(tab, rng=rng), "glazed") for zone in ("cervical", "middle")),
        to_reading("reed", world.read(tooth, rng=rng), "matt"),
        *(to_reading(name, np.full(len(WAVELENGTHS), R), "matt") for name, R in (("grey", 0.25), ("titanium", 0.35))),
    ]
    write_readings(folder / "readings.csv", rows)
    write_readings(folder / "targets.csv", [to_reading("gum-b", world.read(target, rng=rng), "glazed")])
    (folder / "guide.csv").write_text(
        "guide,tab,zone,tissue\nhouse,oat-mid,cervical,tooth\nhouse,oat-mid,middle,tooth\n", encoding="utf-8"
    )
    calibrated = ("calibrate", "chips.csv", "chip-readings.csv", "--stains", "stains.yaml")
    stainbook("--book", f"sqlite:///{folder / 'lab.db'}", *calibrated, cwd=folder)
    return folder


@pytest.fixture(scope="module")
def advice(lab) -> dict:
    found = document("--book", f"sqlite:///{lab / 'lab.db'}", "advise", "case.yaml", cwd=lab)
    jsonschema.validate(found, json.loads(stainbook("schema", "advise", cwd=lab).stdout))
    return found


def zone(advice: dict, tooth: int, name: str) -> dict:
    return next(z for z in advice["cases"][0]["zones"] if (z["tooth"], z["zone"]) == (tooth, name))


def spectra(path: Path) -> dict[str, np.ndarray]:
    with path.open(encoding="utf-8", newline="") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return {row["sample"]: np.array([float(row[f"{nm:.0f}"]) for nm in WAVELENGTHS]) for row in rows}


def test_listed_and_applied_zones_are_all_there(advice):
    (case,) = advice["cases"]
    assert case["case"] == "W-1042"
    keys = {(z["tooth"], z["zone"]) for z in case["zones"]}
    assert {(11, "cervical"), (11, "attached"), (21, "cervical")} <= keys
    assert {(tooth, zone) for tooth in (12, 13, 22, 23) for zone in ("cervical", "middle")} <= keys


def test_the_gap_is_the_reading_against_the_shifted_tab(advice, lab):
    read = {name: spectrum_to_lab(R, WAVELENGTHS, illuminant="D65", observer=10) for name, R in
            spectra(lab / "readings.csv").items()}  # fmt: skip
    lch = lab_to_lch(read["house/oat-mid/cervical"] + np.array([1.0, 0.0, 0.0]))
    target = lch_to_lab(lch - np.array([0.0, 2.0, 0.0]))
    parts = delta_e_2000_parts(read["W-1042-11-cervical"], target)
    gap = zone(advice, 11, "cervical")["gap"]
    assert gap["dE00"] == pytest.approx(float(parts.dE00), abs=1e-6)
    assert (gap["dL"], gap["dC"], gap["dH"]) == pytest.approx((parts.dL, parts.dC, parts.dH), abs=1e-6)
    assert gap["grade"] == ("beyond" if gap["dE00"] - gap["u"] > 1.8 else "cannot tell")


def test_moves_keep_to_the_limits_and_are_ranked(advice):
    limits = {"layers": 2, "coats": 3, "strengths": {1 / 16, 1 / 8, 1 / 4, 1 / 2, 1.0}, "stains": {"teasel", "husk"}}
    told = [z for z in advice["cases"][0]["zones"] if z["moves"]]
    assert told
    for one in told:
        assert [move["rank"] for move in one["moves"]] == list(range(1, len(one["moves"]) + 1))
        for move in one["moves"]:
            assert len(move["layers"]) <= limits["layers"]
            assert move["dE00_p05"] <= move["dE00"] <= move["dE00_p95"]
            assert move["accept"] <= move["accept_within"]
            for layer in move["layers"]:
                assert 1 <= layer["coats"] <= limits["coats"]
                assert set(layer["pot"]) <= limits["stains"]
                assert set(layer["pot"].values()) <= limits["strengths"]


def test_a_zone_like_another_has_its_gap_and_more_doubt(advice):
    own, like = zone(advice, 11, "cervical")["gap"], zone(advice, 21, "cervical")["gap"]
    assert like["dE00"] == pytest.approx(own["dE00"], abs=1e-9)
    assert like["u"] > own["u"]


def test_a_zone_that_was_not_read_says_so(advice):
    unread = zone(advice, 13, "middle")
    assert unread["gap"] is None
    assert unread["moves"] == []
    assert "not read" in unread["why"]
    assert any("no reading" in line for line in advice["warnings"])


def test_mixes_of_the_whole_case_keep_to_its_pots(advice):
    assert len(advice["cases"][0]["pots"]) <= 4


@pytest.mark.parametrize("stage", ["trial", "bonded", "delivered"])
def test_no_firing_is_ever_proposed_for_some_stages(lab, stage):
    text = block("case.yaml").replace("stage: blasted", f"stage: {stage}")
    (lab / f"{stage}.yaml").write_text(text, encoding="utf-8")
    found = document("--book", f"sqlite:///{lab / 'lab.db'}", "advise", f"{stage}.yaml", cwd=lab)
    for one in found["cases"][0]["zones"]:
        assert one["verdict"] == "no firing"
        assert all(not move["layers"] for move in one["moves"])


def test_a_stain_that_nobody_knows_is_named_with_the_nearest(lab):
    text = block("case.yaml").replace("[teasel, husk]", "[teasel, hsuk]")
    (lab / "typo.yaml").write_text(text, encoding="utf-8")
    line = refusal("--book", f"sqlite:///{lab / 'lab.db'}", "advise", "typo.yaml", cwd=lab)
    assert "hsuk" in line
    assert "husk" in line


def test_lab_targets_of_another_observer_are_refused_for_lab_readings(lab):
    text = """\
case: W-7
zones:
  - tooth: 11
    zone: middle
    now: {L: 74, a: 1, b: 14, illuminant: D65, observer: 2}
    target: {L: 73, a: 1.5, b: 16, illuminant: D65, observer: 10}
"""
    (lab / "two.yaml").write_text(text, encoding="utf-8")
    book = ("--book", f"sqlite:///{lab / 'lab.db'}")
    assert "D65/2" in refusal(*book, "advise", "two.yaml", cwd=lab)
    adapted = document(*book, "advise", "two.yaml", "--adapt", cwd=lab)
    assert adapted["cases"][0]["zones"][0]["gap"]["dE00"] > 0
    assert adapted["warnings"]


def test_explain_adds_up_the_causes_of_doubt(lab):
    found = document("--book", f"sqlite:///{lab / 'lab.db'}", "explain", "case.yaml", "11 cervical", cwd=lab)
    jsonschema.validate(found, json.loads(stainbook("schema", "explain", cwd=lab).stdout))
    assert sum(cause["share"] for cause in found["causes"]) == pytest.approx(1.0, abs=1e-9)
    assert sum(cause["sigma"] ** 2 for cause in found["causes"]) == pytest.approx(found["sigma"] ** 2, rel=1e-9)
    assert any("bench-2" in cause["cause"] for cause in found["causes"])  # the case's hand made no chips


def test_explain_names_the_zones_of_the_case(lab):
    line = refusal("--book", f"sqlite:///{lab / 'lab.db'}", "explain", "case.yaml", "11 incisal", cwd=lab)
    assert "11 cervical" in line
