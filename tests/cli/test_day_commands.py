"""The commands of the first day: each prints one document of its schema, and a table for people."""

import json

import jsonschema
import pytest

from stainbook.cli import main
from stainbook.lab import Lab
from stainbook.records import Stain
from stainbook.work.documents.schemas import COMMANDS

GUIDE = "guide,tab,zone,tissue\nhouse,oat-pale,middle,tooth\n"
TAB = "sample,L,a,b,illuminant,observer\nhouse/oat-pale/middle,72,1,15,D65,2\n"
CASE = "case: W-1\nzones:\n- {tooth: 11, zone: middle, target: {guide: house, tab: oat-pale}}\n"
TRIAL = "sample,L,a,b,illuminant,observer,taken_at\nP-1-11-middle,72,1,15,D65,2,2026-01-01\n"
TRIAL += "P-1-11-middle,70,2,18,D65,2,2026-02-01\n"
TILE = "sample,L,a,b,illuminant,observer,taken_at\n" + "".join(
    f"tile,72,1,{14 + i / 10},D65,2,2026-01-0{i}\n" for i in range(1, 5)
)


@pytest.fixture
def run(tmp_path, monkeypatch, capfd):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("STAINBOOK_BOOK", f"sqlite:///{tmp_path / 'lab.db'}")
    files = {"guide.csv": GUIDE, "tabs.csv": TAB, "case.yaml": CASE, "trial.csv": TRIAL, "tile.csv": TILE}
    files["first.csv"] = TAB + "s1,70,1,2,D65,2\ns2,60,1,2,D65,2\n"
    files["second.csv"] = files["first.csv"].replace("70,1", "71,1")
    files["programmes.yaml"] = "- {programme: glaze, final_c: 770, minutes: 24, source_sheet: s}\n"
    files["jars.csv"] = "stain,lot,makers_lot\nhusk,0117,M-4\n"
    for name, text in files.items():
        (tmp_path / name).write_text(text, encoding="utf-8")

    def once(*arguments):
        assert main(arguments) == 0
        return capfd.readouterr().out

    return once


COMMAND_LINES = [
    (["instrument", "hand", "--illuminant", "D65", "--observer", "2"], "hand"),
    (["sheet", "case.yaml"], "W-1-11-middle"),
    (["read", "trial.csv"], "P-1-11-middle"),
    (["bench", "case.yaml", "--readings", "tabs.csv"], "not read"),
    (["agree", "first.csv", "second.csv"], "3 samples"),
    (["guide", "guide.csv", "tabs.csv"], "oat-pale"),
    (["trial", "P-1"], "worn minus"),
    (["trial", "P-1", "--approve", "left", "--by", "clinic"], "trial/P-1-11/middle"),
    (["programme", "programmes.yaml"], "770"),
    (["plate", "husk", "teasel"], "clear undiluted"),
    (["control", "tile"], "in control"),
    (["jars", "jars.csv"], "M-4"),
    (["jars", "--opened", "husk=0117", "--on", "2026-03-02"], "2026-03-02"),
]


@pytest.mark.parametrize(("arguments", "part"), COMMAND_LINES, ids=lambda value: " ".join(value)[:24])
def test_commands(run, arguments, part):
    run("read", "trial.csv")
    run("read", "tile.csv")
    with Lab.open() as lab:
        lab.book.add_stains([Stain("husk")] if arguments[0] == "jars" else [])
    assert part in run(*arguments)
    found = json.loads(run(*arguments, "--json"))
    jsonschema.validate(found, COMMANDS[arguments[0]].model_json_schema())


def test_a_jar_is_opened_run_out_and_that_undone(run, capfd):
    run("--version")
    assert main(["jars", "--opened", "husk=1"]) == 2  # nobody knows the stain
    assert "husk" in capfd.readouterr().err
    with Lab.open() as lab:
        lab.book.add_stains([Stain("husk")])
    run("jars", "--opened", "husk=1", "--on", "2026-03-02", "--makers-lot", "M-4")
    assert "2026-03-09" in run("jars", "--run-out", "husk=1", "--on", "2026-03-09")
    (one,) = json.loads(run("jars", "--not-run-out", "husk=1", "--json"))["jars"]
    assert (one["opened_on"], one["run_out_on"], one["makers_lot"]) == ("2026-03-02", None, "M-4")
    assert json.loads(run("book", "history", "husk: 1", "--kind", "jar", "--json"))["revisions"][-1]["revision"] == 3
    for wrong in (
        ["--run-out", "husk"], ["--run-out", "husk=1", "--on", "soon"], ["--run-out", "husk=1", "--on", "2026-03-01"],
        ["--opened", "husk=1", "--on", "2099-01-01"], ["--not-run-out", "husk=9"],
        ["--opened", "husk=1", "--run-out", "husk=1"],
    ):  # fmt: skip
        assert main(["jars", *wrong]) == 2
    assert json.loads(run("jars", "--json"))["jars"] == [one]


@pytest.mark.parametrize("name", ["out.cxf", "out.txt", "out.csv"])
def test_readings_saved_in_another_format_convert_alike(run, name):
    first = json.loads(run("convert", "first.csv", "--save", name, "--json"))
    assert json.loads(run("convert", name, "--json"))["readings"] == first["readings"]


def test_options_that_need_each_other_are_asked_for(run, capfd):
    assert main(["plate", "--read", "tabs.csv"]) == 2
    assert main(["agree", "first.csv", "second.csv", "--convert", "first.csv"]) == 2
    first, second = capfd.readouterr().err.splitlines()
    assert "--chips" in first
    assert "--save" in second
