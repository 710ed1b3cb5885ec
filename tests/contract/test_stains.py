"""calibrate and predict as the contract writes them, run as a user runs them on the demonstration lab's own form."""

import json

import jsonschema
import pytest

from stainbook.records import Viewing
from tests.cli.console import document, refusal, stainbook, write
from tests.contract.formats import header
from tests.contract.test_commands import shape, valid
from tests.work.labs import made
from tests.work.labs import write as write_lab

RECIPE = "recipe,body,layer,stain,strength,coats"


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A calibrated book, with the chips in the contract's own columns."""
    folder = write_lab(tmp_path_factory.mktemp("stains"), made())
    calibrated = ("calibrate", "chips.csv", "readings.csv", "--stains", "stains.yaml", "--json")
    done = stainbook("--book", f"sqlite:///{folder / 'lab.db'}", *calibrated, cwd=folder)
    (folder / "calibrated.json").write_text(done.stdout, encoding="utf-8")
    (folder / "told.txt").write_text(done.stderr, encoding="utf-8")
    return folder


def predict(folder, *arguments):
    return valid("predict", document("--book", f"sqlite:///{folder / 'lab.db'}", "predict", *arguments, cwd=folder))


def test_calibrate_prints_one_document_with_the_keys_of_the_contract(folder):
    found = valid("calibrate", json.loads((folder / "calibrated.json").read_text(encoding="utf-8")))
    assert shape("stains") - {"stains"} <= set(found["stains"][0])
    assert [one["stain"] for one in found["stains"]] == ["saddle", "thrift", "clear"]
    assert (folder / "told.txt").read_text(encoding="utf-8") == ""
    assert len(repr(found["stains"][0]["dE00_median"])) > 10  # numbers keep their digits


def test_the_table_of_calibrate_names_every_stain(folder, tmp_path):
    done = stainbook("--book", f"sqlite:///{tmp_path / 'b.db'}", "calibrate", "chips.csv", "readings.csv", cwd=folder)
    for word in ("saddle", "thrift", "clear", "forecast ΔE00", "colour kept per firing", "%"):
        assert word in done.stdout


def test_fitting_again_makes_a_new_revision(folder):
    url = f"sqlite:///{folder / 'again.db'}"
    fits = [
        {one["fit"] for one in document("--book", url, "calibrate", "chips.csv", "readings.csv", cwd=folder)["stains"]}
        for _ in range(2)
    ]
    assert fits == [{1}, {2}]


def test_predict_prints_one_document_with_the_keys_of_the_contract(folder):
    assert RECIPE == header("recipe,body")
    write(folder / "recipes.csv", RECIPE, "warm,plate-pale,1,saddle,1/8,1", "warm,plate-pale,1,thrift,0.25,1")
    found = predict(folder, "recipes.csv", "readings.csv", "--operator", "bench-1", "--lot", "saddle=24-9")
    (one,) = found["recipes"]
    assert shape("recipes") - {"recipes"} <= set(one)
    assert one["recipe"] == "warm"
    assert (one["illuminant"], one["observer"]) == ("D65", 10)
    assert len(one["wavelengths"]) == len(one["reflectance"]) == 31
    assert found["assumes"].keys() >= {"operator", "lots", "programme", "finish"}
    assert (found["assumes"]["operator"], found["assumes"]["lots"]["saddle"]) == ("bench-1", "24-9")


def test_predict_under_another_light(folder):
    write(folder / "one.csv", RECIPE, "one,plate-pale,1,saddle,0.25,1")
    (found,) = predict(folder, "one.csv", "readings.csv", "--illuminant", "F11", "--observer", 2)["recipes"]
    viewing = Viewing(found["illuminant"], found["observer"])
    assert viewing == Viewing("F11", 2)


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("x,plate-grey,1,saddle,0.25,1", ("bad.csv", "row 2", "plate-grey", "expected")),
        ("x,plate-pale,1,wallnut,0.25,1", ("bad.csv", "wallnut", "saddle")),
        ("x,plate-pale,1,saddle,2,1", ("bad.csv", "row 2", "expected")),
        ("x,plate-pale,1,saddle,0.25,0", ("bad.csv", "row 2", "expected")),
    ],
)
def test_malformed_recipes_are_one_line_and_status_2(folder, row, words):
    path = write(folder / "bad.csv", RECIPE, row)
    line = refusal("--book", f"sqlite:///{folder / 'lab.db'}", "predict", path, "readings.csv", cwd=folder)
    assert all(word in line for word in words), line


def test_malformed_chips_store_nothing(folder, tmp_path):
    path = write(tmp_path / "chips.csv", "chip,body,layer,stain,strength,coats,firings", "x,plate-pale,1,saddle,1,1,1")
    url = f"sqlite:///{tmp_path / 'lab.db'}"
    line = refusal("--book", url, "calibrate", path, folder / "readings.csv", cwd=tmp_path)
    assert "found chip 'x' without a reading" in line
    line = refusal("--book", url, "predict", folder / "bad.csv", folder / "readings.csv", cwd=tmp_path)
    assert "stainbook calibrate" in line


def test_documents_hold_to_their_schemas_when_keys_are_missing(folder):
    schema = json.loads(stainbook("schema", "calibrate", cwd=folder).stdout)
    found = json.loads((folder / "calibrated.json").read_text(encoding="utf-8"))
    del found["stains"][0]["dE00_left_out"]
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(found, schema)
