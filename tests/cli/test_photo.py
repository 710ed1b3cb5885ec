"""stainbook photo as a user runs it: the contract's JSON, one line on standard error for what cannot be."""

import json

import pytest

from stainbook.book import open_book
from tests.cli.console import document, refusal, stainbook
from tests.contract.test_commands import shape, valid
from tests.photo.shots import scene_yaml, table, write_jpeg
from tests.worlds.photo_scenes import render

CASE = """case: W-7
stage: glazed
zones:
  - {tooth: 11, zone: cervical, target: {L: 70, a: 2, b: 16, illuminant: D65, observer: 10}}
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder, scene = tmp_path_factory.mktemp("shot"), render(4, "test")
    table(folder / "target.txt", scene)
    write_jpeg(folder / "p.jpg", scene)
    scene_yaml(folder / "scene.yaml", scene, subject="patient")
    return folder


def test_the_document_has_the_keys_of_the_contract(folder):
    found = valid("photo", document("photo", "p.jpg", "scene.yaml", cwd=folder))
    assert shape("zones") <= set(found) | set(found["reference"])
    keys = {"tooth", "zone", "L", "a", "b", "C", "h", "illuminant", "observer", "u", "pixels", "masked", "flagged"}
    assert len(found["zones"]) == 4
    assert all(keys <= set(zone) for zone in found["zones"])
    assert found["reference"]["dE00_median"] < found["reference"]["dE00_left_out"] < 3.0
    assert isinstance(found["method"], str)


def test_light_and_observer_on_the_command_line(folder):
    found = document("photo", "p.jpg", "scene.yaml", "--illuminant", "D50", "--observer", 2, cwd=folder)
    assert {(zone["illuminant"], zone["observer"]) for zone in found["zones"]} == {("D50", 2)}


def test_the_table_says_what_was_done_and_what_is_doubted(folder):
    done = stainbook("photo", "p.jpg", "scene.yaml", "--before", "p.jpg", "scene.yaml", cwd=folder)
    assert "living tooth: curves of living tissue" in " ".join(done.stdout.split())
    assert "± ΔE00" in done.stdout
    assert "± change" in done.stdout


def test_json_stays_alone_on_standard_output(folder):
    done = stainbook("photo", "p.jpg", "scene.yaml", "--json", cwd=folder)
    assert json.loads(done.stdout)["zones"]


def test_what_is_no_picture_is_one_line(folder):
    (folder / "text.jpg").write_text("not a picture")
    assert "text.jpg" in refusal("photo", "text.jpg", "scene.yaml", "--json", cwd=folder)


def test_what_is_stored_is_in_the_book(folder):
    """Not what the command says: what is counted in the book afterwards."""
    (folder / "case.yaml").write_text(CASE)
    url = f"sqlite:///{folder / 'lab.db'}"
    found = document("--book", url, "photo", "p.jpg", "scene.yaml", "--case", "case.yaml", "--store", cwd=folder)
    with open_book(url) as book:
        samples = {one.sample for one in book.readings()}
        pictures = len(list(book.photos("W-7")))
    assert samples == set(found["stored"])
    assert len(samples) == sum(not zone["flagged"] for zone in found["zones"]) > 0
    assert pictures == 1


def test_nothing_is_stored_unasked(folder):
    (folder / "case.yaml").write_text(CASE)
    url = f"sqlite:///{folder / 'other.db'}"
    document("--book", url, "photo", "p.jpg", "scene.yaml", "--case", "case.yaml", cwd=folder)
    with open_book(url) as book:
        assert list(book.readings()) == []
