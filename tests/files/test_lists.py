"""stains.yaml, bodies.csv and guide.csv."""

import pytest

from stainbook.files import read_bodies, read_guide, read_jars, read_stains
from stainbook.records import Body, GuideTab, Stain
from tests.files.helpers import refused, saved

# ---------------------------------------------------------------- stains


def stains(tmp_path, text):
    return read_stains(saved(tmp_path, text, "stains.yaml")).records


def test_a_stain_and_what_is_left_out(tmp_path):
    text = (
        "- {name: no, lot: 0117, materials: zirconia, stages: [Green], kind: infiltrating, family: Blue}\n- name: 12:30"
    )
    first, second = stains(tmp_path, text)
    assert first == Stain("no", "infiltrating", "blue", ("zirconia",), ("green",), "0117")
    assert second == Stain("12:30")
    assert stains(tmp_path, "- name: clear")[0].kind == "clear"


def test_notes_may_run_over_lines_and_other_text_may_not(tmp_path):
    assert stains(tmp_path, "- name: husk\n  notes: |\n    warm\n    dries fast\n")[0].notes == "warm\ndries fast"
    refused(read_stains, saved(tmp_path, "- name: |\n    a\n    b\n"), "row 1", "key name", "one line")


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("# none\n", ["nothing but comments"]),
        ("[]", ["no stain"]),
        ("name: husk", ["a mapping", "a list"]),
        ("- husk", ["row 1", "'husk'", "name"]),
        ("- {kind: surface}", ["row 1", "no name"]),
        ("- {name: }", ["row 1", "no name"]),
        ("- {name: '  '}", ["row 1", "key name", "some text"]),
        ("- {name: [a]}", ["row 1", "key name", "a list"]),
        ("- {name: a, kind: glossy}", ["key kind", "'glossy'", "surface, infiltrating, clear, resin"]),
        ("- {name: a, family: beige}", ["key family", "white, yellow"]),
        ("- {name: a, stages: [raw]}", ["key stages", "'raw'", "green"]),
        ("- {name: a, max_firings: 0}", ["key max_firings", "whole number"]),
        ("- {name: a, max_firings: many}", ["key max_firings", "'many'"]),
        ("- {name: clear, kind: surface}", ["key kind", "clear"]),
        ("- {name: a}\n- {name: b}\n- {name: a}", ["row 3", "'a' a second time"]),
        ("- {name: a, famly: brown}", ["key famly", "did you mean family?"]),
    ],
)
def test_malformed_stains_are_refused(tmp_path, text, parts):
    refused(read_stains, saved(tmp_path, text, "stains.yaml"), *parts)


# ---------------------------------------------------------------- jars


def test_jars(tmp_path):
    text = "Stain;Lot;makers_lot;opened_on;run_out_on\nhusk;0117;M-4;2026-03-02;\nhusk;24_118;;;2026-04-01\n"
    first, second = read_jars(saved(tmp_path, text, "jars.csv")).records
    assert (first.stain, first.lot, first.makers_lot, first.opened_on, first.run_out_on) == (
        "husk", "0117", "M-4", "2026-03-02", None,
    )  # fmt: skip
    assert (second.jar, second.run_out_on) == ("husk: 24_118", "2026-04-01")


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("stain,lot\n", ["no jar"]),
        ("stain\nhusk\n", ["lot"]),
        ("stain,lot\nhusk,\n", ["row 2", "column lot", "an empty cell"]),
        ("stain,lot\n,1\n", ["row 2", "column stain", "an empty cell"]),
        ("stain,lot\nhusk,1\nhusk,1\n", ["row 3", "a second time"]),
        ("stain,lot,opened_on\nhusk,1,in spring\n", ["row 2", "column opened_on", "'in spring'", "2026-03-02"]),
        (
            "stain,lot,opened_on,run_out_on\nhusk,1,2026-03-02,2026-03-01\n",
            ["column run_out_on", "or later"],
        ),
    ],
)
def test_malformed_jars_are_refused(tmp_path, text, parts):
    refused(read_jars, saved(tmp_path, text, "jars.csv"), *parts)


# ---------------------------------------------------------------- bodies


def test_bodies(tmp_path):
    text = (
        "body,material,lot,thickness_mm,backing,sintering_programme,surface\n"
        'b1,zirconia,0042,"1,5",black,long,Matt\nb2,,,,,,\n'
    )
    loaded = read_bodies(saved(tmp_path, text))
    assert loaded.records == (Body("b1", "zirconia", "0042", 1.5, "black", "long", "matt"), Body("b2"))
    assert not loaded.warnings
    assert read_bodies(saved(tmp_path, "body\nb1\n")).records == (Body("b1"),)


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("body\n", ["no body"]),
        ("lot\n1", ["'body'"]),
        ("body,thickness_mm\nb,-1", ["row 2", "column thickness_mm", "above 0"]),
        ("body,surface\nb,rough", ["row 2", "column surface", "matt"]),
        ("body,lot\nb,1\nb,2", ["row 3", "'b' a second time"]),
        ("body,lot\n,1", ["row 2", "column body", "empty"]),
        ('body,lot\n"a\nb",1', ["row 2", "column body", "one line"]),
    ],
)
def test_malformed_bodies_are_refused(tmp_path, text, parts):
    refused(read_bodies, saved(tmp_path, text, "bodies.csv"), *parts)


# ---------------------------------------------------------------- guide


def test_guide(tmp_path):
    text = "guide,tab,zone,tissue\nhouse,0117,Cervical,tooth\nhouse,no,margin,\nhouse,no,root,tooth\n"
    tabs = read_guide(saved(tmp_path, text)).records
    assert tabs[0] == GuideTab("house", "0117", "cervical", "tooth")
    assert [tab.tissue for tab in tabs] == ["tooth", "gingiva", "tooth"]
    assert tabs[0].sample == "house/0117/cervical"


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("guide,tab,zone\n", ["no tab"]),
        ("guide,tab\nh,t", ["'zone'"]),
        ("guide,tab,zone\nh,t,root", ["row 2", "column tissue", "'root'"]),
        ("guide,tab,zone,tissue\nh,t,cervical,gingiva", ["row 2", "column tissue", "gingiva", "tooth"]),
        ("guide,tab,zone\nh,t,marign", ["row 2", "did you mean margin?"]),
        ("guide,tab,zone\nh,t,cervical\nh,t,CERVICAL", ["row 3", "h/t/cervical", "second time"]),
        ("guide,tab,zone\nh,,cervical", ["row 2", "column tab", "empty"]),
    ],
)
def test_malformed_guides_are_refused(tmp_path, text, parts):
    refused(read_guide, saved(tmp_path, text, "guide.csv"), *parts)
