"""The checks that anyone can run: published values as they are shipped, and a bundle that names nothing of the lab."""

from __future__ import annotations

import json
import zipfile
from importlib.resources import files

import numpy as np
import pytest

from stainbook.book import open_book
from stainbook.kept import Operator, Prices, Settings
from stainbook.work.app import selfcheck as checked
from stainbook.work.app.doctor import doctor, save_bundle, without_names
from stainbook.work.case.open_case import open_file
from tests.cli.console import RECIPES
from tests.published import FOLDER


def test_what_is_shipped_is_what_was_published():
    shipped = [one for one in (files("stainbook.work.app") / "published").iterdir() if one.name.endswith(".csv")]
    assert len(shipped) == 4
    for one in shipped:
        assert one.read_bytes() == (FOLDER / one.name).read_bytes(), one.name


def test_all_checks_hold():
    found = checked.selfcheck()
    assert found.ok
    assert [one.values for one in found.checks] == [68, 48, 62, 18, 205]
    assert all(one.largest <= one.allowed for one in found.checks)


def test_a_wrong_formula_is_missed(monkeypatch):
    monkeypatch.setattr(checked, "delta_e_2000", lambda one, other: np.linalg.norm(one - other, axis=-1))
    found = checked.selfcheck()
    assert not found.ok
    assert [one.ok for one in found.checks] == [False, True, True, True, True]


@pytest.fixture
def book(tmp_path):
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}", author="Ann of the lab") as found:
        found.add_operators([Operator("Ann of the lab", notes="left-handed")])
        found.add_settings(
            Settings(lab="Harbour Lane", prices=Prices(9.5, 38.0, None, "doubloons"), apprentices=("Ann of the lab",))
        )
        open_file(found, RECIPES / "W-1051.yaml")
        yield found


def test_the_bundle_names_nothing_of_the_lab(book, tmp_path):
    log = ["case W-1051 of Ann of the lab failed", f"cannot open '{tmp_path}/x.csv'", "found 3 rows"]
    found = save_bundle(doctor(book, log=log), tmp_path / "support.zip")
    with zipfile.ZipFile(tmp_path / "support.zip") as archive:
        assert archive.namelist() == ["doctor.json"]
        text = archive.read("doctor.json").decode()
    for name in ("W-1051", "Ann", "Harbour", "doubloons", "left-handed", str(tmp_path)):
        assert name not in text
    told = json.loads(text)
    assert told["book"]["ok"]
    assert told["book"]["records"]["case"] == 1
    assert told["settings"]["apprentices"] == "1"
    assert told["log"] == ["case … of … failed", "cannot open …", "found 3 rows"]
    assert found.bundle == str(tmp_path / "support.zip")


def test_without_a_book_it_says_so():
    assert doctor(None).book.kind == "none"


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("the page case failed", "the page case failed"),
        ("reading W-7-11-cervical of oat-mid", "reading … of oat-mid"),
        ("C:\\Users\\ann\\lab.db, line 3", "…, line 3"),
        ('found "house" in `lab`', "found … in …"),
    ],
)
def test_lines_of_a_log_lose_what_names_anything(line, said):
    assert without_names(line) == said
