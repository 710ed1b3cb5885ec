"""The commands of the contract, run as a user runs them; their JSON against its shapes and their own schemas."""

import json
import re

import jsonschema
import pytest

from stainbook.cli.commands import app
from stainbook.work.documents.schemas import (
    COMMANDS,
    AdviseResult,
    CalibrateResult,
    CompareResult,
    ConvertResult,
    PredictResult,
)
from tests.cli.console import RECIPES, document, refusal, stainbook, write
from tests.contract.formats import TEXT, block, section

WAVELENGTHS = ",".join(map(str, range(400, 701, 10)))


def shape(name: str) -> set[str]:
    """The keys of the first JSON object in back quotes that holds a key."""
    found = re.search(rf"`([^`]*\"{name}\":[^`]*)`", TEXT)
    assert found, name
    return set(re.findall(r'"(\w+)":', found[1]))


def valid(command: str, found: dict) -> dict:
    schema = json.loads(stainbook("schema", command, cwd=RECIPES).stdout)
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(found, schema)
    return found


# ---------------------------------------------------------------- the shapes, and the schemas of all commands


@pytest.mark.parametrize(
    ("model", "item", "key"),
    [
        (ConvertResult, "ConvertedReading", "sample"),
        (CompareResult, "ComparedPair", "pairs"),
        (CalibrateResult, "StainFit", "stains"),
        (PredictResult, "PredictedRecipe", "recipes"),
    ],
)
def test_models_hold_the_keys_of_the_contract(model, item, key):
    schema = model.model_json_schema()
    listed = {"readings": 1, "sample": 1}.keys() if model is ConvertResult else {key}
    assert shape(key) - listed <= set(schema["$defs"][item]["properties"])
    required = set(schema["$defs"][item]["required"])
    assert required <= shape(key) | {"sample", "recipe"}


def test_the_example_of_advise_fits_its_schema():
    text = block("JSON of `advise`").replace('"stain | leave | out of reach | no firing"', '"stain"')
    text = text.replace('"add | leave | strip and restain | remake"', '"add"').replace(
        '"illuminant": ', '"illuminant": "D65"'
    )
    text = re.sub(r'("(?:observer)": )(?=[,}])', r"\g<1>10", text)
    text = re.sub(r'("\w+": )(?=[,}])', r"\g<1>0.5", text)
    example = json.loads(text)
    valid("advise", example)
    assert AdviseResult.model_validate(example).cases[0].zones[0].moves[0].accept == 0.96


@pytest.mark.parametrize(
    ("key", "words"),
    [("verdict", "stain | leave | out of reach | no firing"), ("kind", "add | leave | strip and restain | remake")],
)
def test_words_of_advise(key, words):
    assert f'"{key}": "{words}"' in TEXT
    definitions = AdviseResult.model_json_schema()["$defs"]
    enums = [model["properties"][key]["enum"] for model in definitions.values() if key in model["properties"]]
    assert enums == [words.split(" | ")]


def test_every_command_with_json_has_a_schema(tmp_path):
    registered = {command.name for command in app.registered_commands} - {
        "schema",
        "worker",
    }  # a worker prints until it is ended
    assert registered <= set(COMMANDS)
    for command in COMMANDS:
        schema = json.loads(stainbook("schema", command, cwd=tmp_path).stdout)
        jsonschema.Draft202012Validator.check_schema(schema)


# ---------------------------------------------------------------- convert


def test_convert_prints_one_document_with_the_keys_of_the_contract(tmp_path):
    found = valid("convert", document("convert", RECIPES / "W-1051.csv", cwd=tmp_path))
    keys = {"sample", "L", "a", "b", "C", "h", "illuminant", "observer", "u"}
    assert len(found["readings"]) == 3
    assert all(keys <= set(reading) for reading in found["readings"])
    assert {(one["illuminant"], one["observer"]) for one in found["readings"]} == {("D65", 10)}
    assert len(repr(found["readings"][0]["L"])) > 10  # numbers keep their digits


def test_convert_to_another_light_and_observer(tmp_path):
    found = valid(
        "convert", document("convert", RECIPES / "W-1051.csv", "--illuminant", "A", "--observer", 2, cwd=tmp_path)
    )
    assert {(one["illuminant"], one["observer"]) for one in found["readings"]} == {("A", 2)}


def test_own_scale_is_unknown_and_null_and_said(tmp_path):
    path = write(tmp_path / "r.csv", "sample,L,a,b", "x,70,1,15")
    done = stainbook("convert", path, "--json", cwd=tmp_path)
    found = valid("convert", json.loads(done.stdout))
    assert (found["readings"][0]["illuminant"], found["readings"][0]["observer"]) == ("unknown", None)
    assert "on this instrument's own scale" in found["warnings"][0]
    assert "on this instrument's own scale" in done.stderr
    table = stainbook("convert", path, cwd=tmp_path)
    assert "own scale" in table.stdout
    assert "on this instrument's own scale" in table.stderr


def test_lab_of_another_light_is_refused_with_status_2_unless_adapted(tmp_path):
    path = write(tmp_path / "r.csv", "sample,L,a,b,illuminant,observer", "x,70,1,15,D65,2")
    assert "--adapt" in refusal("convert", path, "--illuminant", "D50", "--json", cwd=tmp_path)
    found = valid("convert", document("convert", path, "--illuminant", "D50", "--adapt", cwd=tmp_path))
    assert found["warnings"]
    assert found["readings"][0]["u"] > document("convert", path, cwd=tmp_path)["readings"][0]["u"]


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("x" + ",1.3" * 31, ("row 2", "scale")),
        ("x" + ",-0.01" * 31, ("row 2", "-0.01")),
        ("x" + ",dark" * 31, ("row 2", "dark")),
        (",0.5" * 31, ("row 2", "sample")),
        ("x,0.5", ("row 2", "2 cells")),
    ],
)
def test_malformed_readings_name_file_row_found_and_expected(tmp_path, row, words):
    path = write(tmp_path / "bad.csv", f"sample,{WAVELENGTHS}", row)
    line = refusal("convert", path, cwd=tmp_path)
    assert all(word in line for word in ("bad.csv", "found", "expected", *words))


def test_percent_small_negatives_semicolons_and_utf16(tmp_path):
    columns = [f"R{nm} %" for nm in range(400, 701, 10)]
    text = ";".join(["Sample", *columns]) + "\n# note\n\nx" + ";50,0" * 30 + ";-0,4\n"
    (tmp_path / "r.csv").write_text(text, encoding="utf-16")
    found = valid("convert", document("convert", "r.csv", cwd=tmp_path))
    assert 70 < found["readings"][0]["L"] < 80
    assert any("set to 0" in warning for warning in found["warnings"])


# ---------------------------------------------------------------- compare


def test_compare_prints_one_document_with_the_keys_of_the_contract(tmp_path):
    head = "sample,tissue,L,a,b,illuminant,observer"
    samples = write(tmp_path / "s.csv", head, "x,tooth,70,1,15,D65,10", "alone,tooth,70,1,15,D65,10")
    targets = write(tmp_path / "t.csv", head, "x,tooth,74,2,14,D65,10")
    done = stainbook("compare", samples, targets, "--json", cwd=tmp_path)
    found = valid("compare", json.loads(done.stdout))
    (pair,) = found["pairs"]
    assert shape("pairs") - {"pairs"} <= set(pair)
    assert (pair["dL"], pair["grade"]) == (-4.0, "beyond")
    assert "'alone'" in done.stderr


@pytest.mark.parametrize(("observer", "status"), [("2", 2), ("10", 0)])
def test_compare_under_different_observers(tmp_path, observer, status):
    head = "sample,tissue,L,a,b,illuminant,observer"
    samples = write(tmp_path / "s.csv", head, f"x,tooth,70,1,15,D65,{observer}")
    targets = write(tmp_path / "t.csv", head, "x,tooth,70,1,15,D65,10")
    assert stainbook("compare", samples, targets, cwd=tmp_path, status=status).stderr.count("\n") == status // 2
    adapted = valid("compare", document("compare", samples, targets, "--adapt", cwd=tmp_path))
    assert bool(adapted["warnings"]) == bool(status)


def test_compare_chooses_thresholds(tmp_path):
    head = "sample,tissue,L,a,b,illuminant,observer"
    path = write(tmp_path / "s.csv", head, "x,gingiva,50,20,12,D65,10")
    plain = valid("compare", document("compare", path, path, cwd=tmp_path))
    chosen = valid("compare", document("compare", path, path, "--thresholds", "denture-base-2015", cwd=tmp_path))
    assert [one["pairs"][0]["thresholds"] for one in (plain, chosen)] == ["gum-2020", "denture-base-2015"]
    assert "tooth-2015" in refusal("compare", path, path, "--thresholds", "tooth-2005", cwd=tmp_path)


def test_every_command_of_the_contract_is_here():
    listed = set(re.findall(r"^\| `stainbook (\w+)", section("Commands"), re.MULTILINE))
    here = {command.name for command in app.registered_commands} | {group.name for group in app.registered_groups}
    assert len(listed) == 13
    assert listed <= here
