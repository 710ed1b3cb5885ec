"""Each example file of the contract is read as it stands there."""

import re

import pytest

from stainbook.files import (
    read_bodies,
    read_case,
    read_chips,
    read_guide,
    read_pot,
    read_readings,
    read_recipes,
    read_stains,
)
from stainbook.files.yaml_nodes import read_yaml
from stainbook.records import (
    CONSISTENCIES,
    DEFAULT_SHARES,
    EFFECTS,
    FAMILIES,
    FINISHES,
    GUM_ZONES,
    STAGES,
    SURFACES,
    TOOTH_ZONES,
    Blank,
    Effect,
    GuideTab,
    LabRef,
    Later,
    Limits,
    Pot,
    SampleRef,
    TabRef,
    Target,
)
from tests.contract.formats import TEXT, block, header, section


def test_stains(tmp_path):
    (tmp_path / "stains.yaml").write_text(block("stains.yaml"), encoding="utf-8")
    husk, tide, clear = read_stains(tmp_path / "stains.yaml").records
    assert (husk.name, husk.kind, husk.family, husk.lot, husk.max_firings) == ("husk", "surface", "brown", "24-117", 4)
    assert husk.materials == ("zirconia", "lithium disilicate")
    assert husk.stages == ("blasted", "sintered", "stained")
    assert husk.notes is None
    assert (tide.kind, tide.stages) == ("infiltrating", ("green",))
    assert (clear.kind, clear.family, clear.stages) == ("clear", None, None)


def test_case(tmp_path):
    (tmp_path / "case.yaml").write_text(block("case.yaml"), encoding="utf-8")
    guide = [GuideTab("house", "oat-mid", zone, "tooth") for zone in ("cervical", "middle", "incisal")]
    loaded = read_case(tmp_path / "case.yaml", guide=guide)
    case = loaded.records[0]
    assert (case.case, case.material, case.stage, case.finish) == ("W-1042", "zirconia", "blasted", "glaze")
    zones = {zone.key: zone for zone in case.zones}
    assert zones[11, "cervical"].now == SampleRef("W-1042-11-cervical", tmp_path / "readings.csv")
    assert zones[11, "cervical"].target == Target(TabRef("house", "oat-mid"), (("L", 1.0), ("C", -2.0)))
    assert zones[11, "attached"].target == Target(SampleRef("gum-b", tmp_path / "targets.csv"))
    assert (zones[11, "attached"].tissue, zones[21, "cervical"].like) == ("gingiva", (11, "cervical"))
    assert [key for key, zone in zones.items() if zone.target == Target(TabRef("house", "oat-mid"))] == [
        (tooth, zone) for tooth in (12, 13, 22, 23) for zone in ("cervical", "middle", "incisal")
    ]
    assert case.effects == (Effect(11, "halo", "incisal edge", Pot.of({"flour": 0.25}), "thin"),)
    assert (case.operator, case.lots) == ("bench-2", (("husk", "24-117"),))
    later = Later(layers=1, coats=1, strengths=(1 / 16, 1 / 8, 1 / 4))
    assert case.limits == Limits(2, 2, 3, 4, DEFAULT_SHARES, ("teasel", "husk"), later=later)
    assert (case.blank, case.lights) == (Blank("reed"), ("D65", "A", "F11"))
    assert (case.read_over, case.seated_on, case.ceramic) == ("grey", "titanium", "reed")
    assert not loaded.warnings


def test_case_with_colours_written_into_it(tmp_path):
    text = block("case.yaml")
    comment = re.search(r"# or (\{L: .*?\})", text)
    assert comment
    lab = comment[1].replace("L: ", "L: 70").replace("a: ", "a: 1").replace("b: ", "b: 15")
    lab = lab.replace("illuminant: ", "illuminant: D65").replace("observer: ", "observer: 10")
    text = text.replace("{file: readings.csv, sample: W-1042-11-cervical}", lab)
    (tmp_path / "case.yaml").write_text(text, encoding="utf-8")
    now = read_case(tmp_path / "case.yaml").records[0].zones[0].now
    assert isinstance(now, LabRef)
    assert (now.lab, now.viewing.illuminant, now.viewing.observer) == ((70.0, 1.0, 15.0), "D65", 10)


def test_the_pots_of_the_words_table(tmp_path):
    examples = re.findall(r"`(\{[^`]*\})`", section("Words"))
    assert examples == ["{husk: 0.25, teasel: 0.5}", "{}"]
    pots = []
    for text in examples:
        (tmp_path / "pot.yaml").write_text(text, encoding="utf-8")
        pots.append(read_pot(read_yaml(tmp_path / "pot.yaml", "a pot")))
    assert pots == [Pot((("husk", 0.25), ("teasel", 0.5))), Pot()]


@pytest.mark.parametrize(
    ("first", "row", "read"),
    [
        ("chip", "husk-1,plate-pale,1,husk,1/8,2,1", read_chips),
        ("recipe", "r-1,plate-pale,1,husk,1/8,2", read_recipes),
        ("body", "plate-pale,reed,zirconia,0117,1.5,black,long,glazed", read_bodies),
        ("guide", "house,oat-mid,cervical,tooth", read_guide),
    ],
)
def test_tables_by_their_headers(tmp_path, first, row, read):
    (tmp_path / "t.csv").write_text(f"{header(first)}\n{row}\n", encoding="utf-8")
    loaded = read(tmp_path / "t.csv")
    assert len(loaded.records) == 1
    assert loaded.warnings == ()


def test_optional_columns_of_chips(tmp_path):
    optional = re.search(r"and optional `([a-z_,]+)`", section("chips.csv"))
    assert optional
    cells = {name: name for name in optional[1].split(",")} | {
        "consistency": "creamy",
        "fired_at": "2026-03-02T10:40:00Z",
    }
    text = f"{header('chip')},{optional[1]}\nc,p,1,husk,1,1,1,{','.join(cells.values())}\n"
    (tmp_path / "chips.csv").write_text(text, encoding="utf-8")
    loaded = read_chips(tmp_path / "chips.csv")
    chip = loaded.records[0]
    assert (chip.operator, chip.programme, chip.material, chip.fired_at) == (
        "operator", "programme", "material", "2026-03-02T10:40:00Z",
    )  # fmt: skip
    assert (chip.layers[0].lots, chip.layers[0].method, chip.layers[0].consistency) == (
        (("husk", "lot"),),
        "method",
        "creamy",
    )
    assert loaded.warnings == ()


def test_columns_of_readings(tmp_path):
    named = re.search(
        r"`sample` is required; the rest is optional: (.*?)Then either", section("readings.csv"), re.DOTALL
    )
    assert named
    columns = [name for name in re.findall(r"`([a-z_]+)`", named[1]) if name not in ("excluded", "included")]
    cells = dict.fromkeys(columns, "x") | {"surface": "matt", "tissue": "gingiva", "specular": "included"}
    cells |= {"film": "water"}
    cells |= {"aperture_mm": "6", "taken_at": "2026-03-02T10:40:00Z"}
    head = ",".join(["sample", *columns, "L,a,b", "illuminant,observer"])
    (tmp_path / "r.csv").write_text(f"{head}\ns,{','.join(cells.values())},70,1,15,D65,10\n", encoding="utf-8")
    readings = read_readings(tmp_path / "r.csv")
    reading = readings.get("s", "x")
    assert columns == list(cells)
    assert [getattr(reading, name) for name in columns] == [
        6.0 if name == "aperture_mm" else cells[name] for name in columns
    ]
    assert readings.warnings == ()


def test_the_words_that_files_may_hold():
    words = section("Words")
    for row, known in (
        ("surface", SURFACES),
        ("finish", FINISHES),
        ("stage", STAGES),
        ("consistency", CONSISTENCIES),
        ("zone", (*TOOTH_ZONES, *GUM_ZONES)),
    ):
        line = re.search(rf"^\| {row} \|.*$", words, re.MULTILINE)
        assert line
        assert [word for word in known if f"`{word}`" not in line[0]] == []
    assert f"`family`: {', '.join(FAMILIES)}" in TEXT
    assert ", ".join(f"`{effect}`" for effect in EFFECTS) in TEXT
