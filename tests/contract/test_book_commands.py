"""``record`` and the commands of the book, run as a user runs them; their JSON against their schemas."""

from __future__ import annotations

import json
import re
from pathlib import Path

import jsonschema
import pytest

from stainbook.book import open_book
from stainbook.cli import book as commands
from stainbook.kept import LabRecipe
from stainbook.records import Layer, Pot
from stainbook.work.documents.book_schemas import RecordResult
from stainbook.work.documents.json_schemas import schema_of
from tests.cli.console import refusal, stainbook
from tests.contract.formats import TEXT, section
from tests.house.test_imports import HEAVY, command, loaded
from tests.work.benches import calibrated, fired


@pytest.fixture(scope="module")
def lab(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a calibrated book, one recorded firing and a recipe."""
    folder = tmp_path_factory.mktemp("lab")
    with open_book(f"sqlite:///{folder / 'lab.db'}", author="bench-1") as book:
        calibrated(book, folder)
        book.revise_recipe(LabRecipe("warm neck", (Layer(Pot.of({"husk": 0.25})),)))
        book.revise_recipe(LabRecipe("warm neck", (Layer(Pot.of({"husk": 0.25})),), notes="thin", based_on=1))
    fired(folder, extra="minutes: 48\nclinic: Harbour\nreturned: shade\n")
    (folder / "recorded.json").write_text(json.dumps(run(folder, "record", "outcome.yaml")), encoding="utf-8")
    return folder


def run(folder: Path, *arguments: object, status: int = 0) -> dict:
    """The document that a command prints, valid by its own schema."""
    here = {"STAINBOOK_BOOK": f"sqlite:///{folder / 'lab.db'}"}
    done = stainbook(*arguments, "--json", cwd=folder, status=status, **here)
    words = [str(one) for one in arguments[: 2 if arguments[0] == "book" else 1]]
    found = json.loads(done.stdout)
    jsonschema.validate(found, json.loads(schema_of(" ".join(words))))
    return dict(found)


def test_record_prints_the_keys_of_the_contract(lab: Path) -> None:
    found = json.loads((lab / "recorded.json").read_text(encoding="utf-8"))
    said = re.search(r"`record`: `(\{.*?\})`", TEXT, re.DOTALL)
    assert said
    keys = set(re.findall(r'"(\w+)":', said[1]))
    (one,) = found["outcomes"]
    assert {"zone", "expected", "got", "dE00", "held"} <= one.keys() & keys
    learnt = RecordResult.model_json_schema()["$defs"]["Learnt"]["properties"]
    assert keys - {"outcomes", "learnt", "zone", "expected", "got", "dE00", "held"} <= learnt.keys()
    assert (one["zone"], one["held"], one["accepted"]) == ("cervical", False, False)
    again = run(lab, "record", "outcome.yaml")
    assert (again["stored"], again["outcomes"]) == (False, [])
    assert again["told_by"] is not None
    assert again["told_at"] is not None


def test_every_command_of_the_book_that_the_contract_names_is_here() -> None:
    row = next(line for line in section("Commands").splitlines() if "stainbook book" in line)
    named = set(re.findall(r"`(\w+)`", row.partition("|")[2].partition("|")[2]))
    assert named == {"list", "show", "search", "approve", "retire", "history", "export", "import", "verify", "backup"}
    assert named <= {command.name for command in commands.app.registered_commands}


def test_schemas_of_two_words(lab: Path) -> None:
    assert "ListResult" in stainbook("schema", "book", "list", cwd=lab).stdout


def test_list_show_search(lab: Path) -> None:
    assert run(lab, "book", "list")["counts"]["outcome"] == 1
    assert [one["name"] for one in run(lab, "book", "list", "recipe")["things"]] == ["warm neck"]
    shown = run(lab, "book", "show", "warm neck")
    assert (shown["use"]["uses"], shown["use"]["accepted"], shown["use"]["remakes"]) == (1, 0, {"shade": 1})
    assert 0.0 <= shown["use"]["low"] < shown["use"]["high"] < 0.8  # Wilson, 0 of 1: 0 to 0.793
    found = run(lab, "book", "search", "--stain", "husk", "--kind", "outcome")["found"]
    assert [one["name"] for one in found] == ["W-1042 11 cervical 2026-03-02T10:40:00Z"]
    lab_text = ",".join(str(value) for value in found[0]["record"]["got"]["lab"])
    (near,) = run(lab, "book", "search", "--colour", lab_text, "--radius", 0.5)["found"]
    assert near["dE00"] == pytest.approx(0.0, abs=1e-9)
    assert run(lab, "book", "search", "nothing")["found"] == []


def test_history_and_states(lab: Path) -> None:
    run(lab, "book", "approve", "warm neck", "--because", "three good cases")
    found = run(lab, "book", "history", "warm neck")["revisions"]
    assert [one["state"] for one in found][-1] == "approved"
    assert found[1]["changes"] == [{"where": "notes", "before": None, "after": "thin"}]
    assert found[-1]["why"] == "three good cases"
    beside = run(lab, "book", "history", "warm neck", "--between", "1,3")["revisions"]
    assert {one["where"] for one in beside[1]["changes"]} == {"notes", "state"}
    assert run(lab, "book", "retire", "warm neck")["state"] == "retired"


def test_verify_backup_numbers_export_import(lab: Path, tmp_path: Path) -> None:
    found = run(lab, "book", "verify")
    assert (found["ok"], found["faults"]) == (True, [])
    assert found["fit"] <= 1e-9
    assert run(lab, "book", "backup", "--to", tmp_path / "copy.db")["records"] == found["records"]
    rows = run(lab, "book", "numbers", "--csv", tmp_path / "n.csv")["rows"]
    total = next(row for row in rows if row["by"] == "all")
    assert (total["units"], total["first_firing"], total["returned"], total["minutes"]) == (1, None, {}, None)
    assert total["zones"] == 1  # no rate is told of fewer than 20 units
    assert (tmp_path / "n.csv").read_text().startswith("by,name,cases,units")
    assert run(lab, "book", "export", tmp_path / "x.zip")["counts"]["recipes"] == 1
    assert {one["status"] for one in run(lab, "book", "import", tmp_path / "x.zip", "--preview")["items"]} == {"same"}


def test_what_is_taken_back_counts_no_longer_and_what_is_shared_is_seen(lab: Path, tmp_path: Path) -> None:
    (tmp_path / "lab.db").write_bytes((lab / "lab.db").read_bytes())
    name = "outcome/W-1042 11 cervical 2026-03-02T10:40:00Z"
    assert run(tmp_path, "book", "withdraw", name, "--because", "wrong tooth read")["revision"] == 1
    assert run(tmp_path, "book", "show", "warm neck")["use"]["uses"] == 0
    assert run(tmp_path, "book", "share", "recipe/warm neck")["shared"]
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}", lab="south") as south:
        assert list(south.recipes()) == ["warm neck"]
    book = ("--book", f"sqlite:///{tmp_path / 'lab.db'}", "book")
    assert "taken back before" in refusal(*book, "withdraw", name, "--because", "again", cwd=tmp_path)
    (tmp_path / "right.csv").write_text("sample,L,a,b,illuminant,observer\nW-1042-11-cervical,70,1,18,D65,10\n")
    reading = ("withdraw", "reading/W-1042-11-cervical", "--because", "wrong tooth read", "--by", "right.csv")
    assert run(tmp_path, "book", *reading)["kind"] == "reading"
    firing = "firing/W-1042 2026-03-02T10:40:00Z"
    assert "is not read from" in refusal(*book, "withdraw", firing, "--because", "x", "--by", "right.csv", cwd=tmp_path)
    gone = refusal(*book, "withdraw", firing, "--because", "another case", cwd=tmp_path)
    assert "taken back before" in gone  # with the last of its zones
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as opened:
        assert opened.find_reading("W-1042-11-cervical").lab == (70.0, 1.0, 18.0)
        said = {one.why: one.by is not None for one in opened.corrections().values()}
        assert said == {"wrong tooth read": True}
        assert (opened.firings(), opened.firings_of("W-1042")) == ((), ())


def test_an_outcome_that_is_held_back_is_confirmed_or_set_aside(lab: Path, tmp_path: Path) -> None:
    (tmp_path / "lab.db").write_bytes((lab / "lab.db").read_bytes())
    fired(tmp_path, husk=2.0, fired_at="2026-03-04T10:40:00Z")
    (one,) = run(tmp_path, "record", "outcome.yaml")["outcomes"]
    assert one["held"]
    (held,) = run(tmp_path, "book", "confirm")["held"]
    assert (held["why"], held["next_step"]) == (one["why"], one["next_step"])
    done = run(tmp_path, "book", "confirm", "W-1042", "11 cervical", "--wrong", "--because", "12 was read")
    assert (done["decided"]["verdict"], done["decided"]["why"], done["held"]) == ("wrong", "12 was read", [])
    assert run(tmp_path, "book", "verify")["ok"]
    book = ("--book", f"sqlite:///{tmp_path / 'lab.db'}", "book", "confirm")
    said = stainbook(*book, "W-1042", "11 cervical", "--open", cwd=tmp_path).stdout
    assert "is open again, says" in said
    assert "nothing is learnt from it yet" in said
    assert "11 cervical" in refusal(*book, "W-1042", "11 incisal", cwd=tmp_path)
    assert "not both" in stainbook(*book, "W-1042", "11 cervical", "--open", "--wrong", cwd=tmp_path, status=2).stderr


def test_listing_loads_no_heavy_library(lab: Path) -> None:
    found = loaded(command("--book", f"sqlite:///{lab / 'lab.db'}", "book", "list", "outcome"))
    assert found & (HEAVY - {"pydantic", "sqlalchemy"}) == set()


def test_refusals_are_one_line(lab: Path) -> None:
    book = ("--book", f"sqlite:///{lab / 'lab.db'}", "book")
    assert "warm neck" in refusal(*book, "show", "warm nek", cwd=lab)
    assert "71.3,1.2,18.5" in refusal(*book, "search", "--colour", "red", cwd=lab)
    assert "M,N" in refusal(*book, "history", "warm neck", "--between", "1", cwd=lab)
    assert "no revision 9" in refusal(*book, "history", "warm neck", "--between", "1,9", cwd=lab)
    assert "--yes" in refusal(*book, "erase", "W-1042", cwd=lab)
    assert "month" in refusal(*book, "numbers", "--by", "moon", cwd=lab)


def test_a_changed_book_ends_with_status_3(lab: Path, tmp_path: Path) -> None:
    import sqlite3

    (tmp_path / "lab.db").write_bytes((lab / "lab.db").read_bytes())
    with sqlite3.connect(tmp_path / "lab.db") as connection:
        connection.execute("UPDATE records SET author = 'someone' WHERE id = 2")
    connection.close()
    found = run(tmp_path, "book", "verify", status=3)
    assert (found["ok"], len(found["faults"])) == (False, 1)
