"""Chosen steps, settings and recipes are undone one change after the other; the history stays, facts bar the way."""

from dataclasses import replace

import pytest

from stainbook.book import open_book
from stainbook.kept import Firing, LabRecipe, Settings
from stainbook.records import Case, CaseZone, Layer, Pot
from stainbook.work.case.case_desk import Step
from stainbook.work.case.chosen import choose
from stainbook.work.case.undo import (
    undo_choices,
    undo_recipe,
    undo_settings,
    undoable_choices,
    undoable_recipe,
    undoable_settings,
)
from stainbook.work.lab.things import set_state
from tests.work.opened import opened

THIN, THICK = ((Layer(Pot.of({"husk": 0.25}), coats),) for coats in (1, 2))
NECKS = [(11, "cervical"), (21, "cervical")]


@pytest.fixture
def book(tmp_path):
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as found:
        yield found


@pytest.fixture
def code(book):
    return opened(book, Case("W-1", tuple(CaseZone(*key, "tooth") for key in NECKS), "zirconia", "blasted"))


def chosen(book):
    return {key: one.layers for key, one in book.choices("W-1").items()}


def test_choices_that_were_made_at_once_are_undone_at_once(book, code):
    choose(book, code, {NECKS[0]: Step("add", THIN)})
    choose(book, code, {key: Step("add", THICK) for key in NECKS})  # as a plan takes over
    assert undo_choices(book, code).what == "next step of 11 cervical, 21 cervical"
    assert chosen(book) == {NECKS[0]: THIN}
    assert undo_choices(book, code).what == "next step of 11 cervical"
    assert chosen(book) == {}
    assert undoable_choices(book, code) is None


def test_a_choice_of_before_a_firing_holds_no_more_and_is_not_undone(book, code):
    choose(book, code, {key: Step("add", THIN) for key in NECKS})
    assert undoable_choices(book, code) is not None
    book.add_firings([Firing(code, "2026-03-02T10:00:00Z", kind="stain")])
    assert undoable_choices(book, code) is None


def test_settings(book):
    book.add_settings(Settings(lab="Harbour Lane Ceramics"))
    book.add_settings(Settings(lab="Harbour Lane Ceramics", scale_step=0.01))
    assert undo_settings(book).what == "step of the scale"
    assert undo_settings(book).what == "the lab's name"
    assert undoable_settings(book) is None
    assert book.settings() == Settings()
    assert len(book.entered("settings", "lab")) == 4


def test_the_state_of_a_recipe(book):
    book.revise_recipe(LabRecipe("warm neck", THIN))
    set_state(book, "warm neck", "approved")
    assert undo_recipe(book, "warm neck").what == "draft → approved"
    assert undoable_recipe(book, "warm neck") is None
    last = book.entered("recipe", "warm neck")[-1]
    assert (last.record.state, last.record.why, last.revision) == ("draft", "undone: draft → approved", 3)
    book.revise_recipe(replace(last.record, state="tried", why="it was fired", based_on=3))
    assert undoable_recipe(book, "warm neck") is None  # it was fired
