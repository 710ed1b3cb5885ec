"""Chosen steps, settings and recipes are undone one change after the other; the history stays, facts bar the way."""

from dataclasses import replace

import pytest
from stainbook.work.case.follow import follow_book, write_case_file

from stainbook.book import open_book
from stainbook.kept import Choice, LabRecipe, Settings
from stainbook.records import Case, CaseZone, Layer, Pot
from stainbook.work.case.undo import (
    undo_choices,
    undo_recipe,
    undo_settings,
    undoable_choices,
    undoable_recipe,
    undoable_settings,
)
from stainbook.work.lab.things import set_state

THIN, THICK = ((Layer(Pot.of({"husk": 0.25}), coats),) for coats in (1, 2))
NECKS = [(11, "cervical"), (21, "cervical")]


@pytest.fixture
def url(tmp_path):
    return f"sqlite:///{tmp_path / 'lab.db'}"


@pytest.fixture
def path(tmp_path):
    place = tmp_path / "W-1.yaml"
    write_case_file(place, Case("W-1", tuple(CaseZone(*key, "tooth") for key in NECKS), "zirconia", "blasted"))
    return place


def chosen(url):
    with open_book(url) as book:
        return {key: one.layers for key, one in book.choices("W-1").items()}


def test_choices_that_were_made_at_once_are_undone_at_once(url, path):
    with open_book(url) as book:
        book.add_choices([Choice("W-1", *NECKS[0], kind="add", layers=THIN)])
        book.add_choices([Choice("W-1", *key, kind="add", layers=THICK) for key in NECKS])  # as a plan takes over
    assert undo_choices(url, path).what == "next step of 11 cervical, 21 cervical"
    assert chosen(url) == {NECKS[0]: THIN}
    assert undo_choices(url, path).what == "next step of 11 cervical"
    assert chosen(url) == {}
    assert undoable_choices(url, path) is None


def test_a_fired_choice_is_a_fact(url, path):
    with open_book(url) as book:
        follow_book(book, path)
        book.add_choices([Choice("W-1", *key, kind="add", layers=THIN) for key in NECKS])
        follow_book(book, path, fired=frozenset(NECKS))
    assert undoable_choices(url, path) is None


def test_settings(url):
    with open_book(url) as book:
        book.add_settings(Settings(lab="Harbour Lane Ceramics"))
        book.add_settings(Settings(lab="Harbour Lane Ceramics", scale_step=0.01))
    assert undo_settings(url).what == "step of the scale"
    assert undo_settings(url).what == "the lab's name"
    assert undoable_settings(url) is None
    with open_book(url) as book:
        assert book.settings() == Settings()
        assert len(book.entered("settings", "lab")) == 4


def test_the_state_of_a_recipe(url):
    with open_book(url) as book:
        book.revise_recipe(LabRecipe("warm neck", THIN))
        set_state(book, "warm neck", "approved")
    assert undo_recipe(url, "warm neck").what == "draft → approved"
    assert undoable_recipe(url, "warm neck") is None
    with open_book(url) as book:
        last = book.entered("recipe", "warm neck")[-1]
        assert (last.record.state, last.record.why, last.revision) == ("draft", "undone: draft → approved", 3)
        book.revise_recipe(replace(last.record, state="tried", why="it was fired", based_on=3))
    assert undoable_recipe(url, "warm neck") is None  # it was fired
