"""Records as plain YAML, and cases as case.yaml: what is written is read back unchanged."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stainbook.errors import FileError
from stainbook.files import read_case
from stainbook.files.case_writer import write_case
from stainbook.files.plain_yaml import format_plain, from_plain, to_plain
from stainbook.files.yaml_nodes import read_yaml
from stainbook.kept import Conditions, LabRecipe, Outcome
from stainbook.records import (
    BodyRef,
    Case,
    CaseZone,
    Effect,
    LabRef,
    Layer,
    Limits,
    Pot,
    Reading,
    SampleRef,
    TabRef,
    Target,
    Viewing,
)

NAME = st.sampled_from(
    ["husk", "0117", "24_117", "no", "12:30", "~", "null", "=1+1", "#3", "a, b", "{x}", "- y", "é 漆"]
)
SEEN = st.characters(exclude_categories=["Cs", "Cc", "Cf", "Co", "Zl", "Zp"])  # what the book takes
TEXT = st.text(SEEN, min_size=1, max_size=12).filter(str.strip) | NAME
NUMBER = st.floats(allow_nan=False, allow_infinity=False)
SHARE, FACTOR = st.floats(1e-6, 1.0), st.floats(0.0, 1.2)
LAB = st.tuples(st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100))
LAYER = st.builds(
    Layer,
    st.dictionaries(NAME, SHARE, max_size=3).map(Pot.of),
    coats=st.integers(1, 9),
    lots=st.dictionaries(NAME, NAME, max_size=2).map(lambda d: tuple(d.items())),
    consistency=st.none() | st.just("thin"),
)
LAYERS = st.lists(LAYER, max_size=3).map(tuple)
REF = st.builds(LabRef, LAB, st.builds(Viewing, st.sampled_from(["D65", "D50"]), st.sampled_from([2, 10])))
RECIPE = st.builds(
    LabRecipe,
    TEXT,
    LAYERS,
    conditions=st.builds(Conditions, material=st.none() | TEXT, thickness_mm=st.none() | st.tuples(NUMBER, NUMBER)),
    target=st.none() | REF,
    notes=st.none() | TEXT,
    based_on=st.none() | st.integers(1, 99),
)
READING = st.builds(
    Reading, TEXT, wavelengths=st.just((400.0, 500.0)), reflectance=st.tuples(FACTOR, FACTOR), notes=TEXT
)
OUTCOME = st.builds(
    Outcome,
    TEXT,
    st.just(11),
    TEXT,
    st.just("tooth"),
    TEXT,
    LAYERS,
    READING,
    got=REF,
    accepted=st.none() | st.booleans(),
)


@given(RECIPE | OUTCOME)
def test_records_come_back(tmp_path_factory: pytest.TempPathFactory, record: object) -> None:
    path = tmp_path_factory.mktemp("plain") / "x.yaml"
    path.write_text(format_plain(to_plain(record)), encoding="utf-8", newline="\n")
    assert from_plain(type(record), read_yaml(path, "a record")) == record


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("recipe: x\nlayers: [{pot: {husk: much}}]\n", ("row 2", "number")),
        ("recipe: x\nlayers: []\nstat: draft\n", ("row 3", "did you mean state?")),
        ("layers: []\n", ("recipe", "required")),
        ("recipe: x\nlayers: {}\n", ("row 2", "a list")),
    ],
)
def test_what_is_no_such_record_is_one_line(tmp_path: Path, text: str, words: tuple[str, ...]) -> None:
    path = tmp_path / "x.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(FileError, match=r"x\.yaml") as caught:
        from_plain(LabRecipe, read_yaml(path, "a recipe"))
    assert all(word.lower() in str(caught.value).lower() for word in words)
    assert "\n" not in str(caught.value)


def test_a_case_comes_back(tmp_path: Path) -> None:
    place = tmp_path / "case.yaml"
    readings = tmp_path / "readings.csv"
    case = Case(
        "W-1042",
        (
            CaseZone(
                11,
                "cervical",
                "tooth",
                SampleRef("a", readings, "blasted"),
                Target(TabRef("house", "0117"), (("L", -1.5),)),
            ),
            CaseZone(
                11,
                "attached",
                "gingiva",
                LabRef((50.0, 20.0, 12.0), Viewing("D65", 2)),
                Target(SampleRef("gum", readings)),
            ),
            CaseZone(21, "neck", "tooth", like=(11, "cervical"), fired=2),
            CaseZone(22, "middle", "tooth", None, Target(LabRef((70.0, 1.0, 9.0), Viewing("unknown", 0)))),
        ),
        material="zirconia",
        stage="stained",
        finish="polish",
        effects=(Effect(11, "halo", "edge", Pot.of({"flour": 0.25}), "thin\nand soft"), Effect(21, "own")),
        operator="bench-2",
        programme="12:30",
        lots=(("husk", "0117"),),
        limits=Limits(1, 2, 3, 4, (0.125, 1.0), ("husk",)),
        folder=tmp_path,
        source=str(place),
    )
    write_case(place, replace(case, zones=tuple(_relative(zone) for zone in case.zones)))
    assert read_case(place).records == (case,)
    green = Case("W", (CaseZone(11, "middle", "tooth", BodyRef("pale")),), stage="green")
    write_case(place, green)
    assert read_case(place).records[0].zones == green.zones


def _relative(zone: CaseZone) -> CaseZone:
    here = Path("readings.csv")
    now = replace(zone.now, file=here) if isinstance(zone.now, SampleRef) else zone.now
    target = zone.target
    if target is not None and isinstance(target.colour, SampleRef):
        target = replace(target, colour=replace(target.colour, file=here))
    return replace(zone, now=now, target=target)
