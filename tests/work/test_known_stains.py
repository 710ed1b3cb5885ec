"""A stain that nobody knows is refused wherever layers are typed, with the nearest known names."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from stainbook.book import Book, open_book
from stainbook.errors import UnknownNameError
from stainbook.records import Case, CaseZone, Chip, Layer, Pot, Stain
from stainbook.work.case.case_edits import drawn
from stainbook.work.case.open_case import open_as
from stainbook.work.firing.results import ZoneResult, note_painted, unknown_stains
from stainbook.work.lab.recipe_life import revise
from tests.book.worked import recipe

CASE = Case("W-1", (CaseZone(11, "middle", "tooth"),), stage="blasted")


@pytest.fixture
def book(tmp_path) -> Iterator[Book]:
    with open_book(f"sqlite:///{tmp_path}/lab.db") as opened:
        with opened.transaction() as step:
            step.add_stains([Stain("husk"), Stain("barley")])
            step.add_chips([Chip("peat-1", "pale", (Layer(Pot.of({"peat": 0.25})),))])
            open_as(step, CASE)
            step.revise_recipe(recipe())
        yield opened


def painted(mix: str) -> list[ZoneResult]:
    return [ZoneResult(11, "middle", mix)]


def test_paint_of_an_unknown_stain_is_asked_about_before_it_is_noted(book):
    assert unknown_stains(book, painted("1/4 barly + 1/4 peat")) == ["barly"]
    with pytest.raises(UnknownNameError, match="unknown stain 'barly'; nearest known: barley"):
        note_painted(book, "W-1", painted("1/4 barly"))
    assert (book.painted("W-1"), list(book.stains())) == (None, ["husk", "barley"])
    note_painted(book, "W-1", painted("1/4 barly"), new_stains=["barly"])
    assert "barly" in book.stains()
    assert book.painted("W-1").zones[0].layers == (Layer(Pot.of({"barly": 0.25})),)


def test_stripes_make_a_stain_known(book):
    note_painted(book, "W-1", painted("1/4 peat"))
    assert book.painted("W-1").zones[0].layers == (Layer(Pot.of({"peat": 0.25})),)


def test_a_recipe_and_an_effect_take_known_stains_alone(book):
    with pytest.raises(UnknownNameError, match="nearest known: barley"):
        revise(book, "warm neck", "1/4 barly", notes="", why="", based_on=1)
    with pytest.raises(UnknownNameError, match="nearest known: husk"):
        drawn(CASE, [11], "halo", book, mix="1/4 husc")
    assert drawn(CASE, [11], "halo", book, mix="1/4 husk").effects[0].pot == Pot.of({"husk": 0.25})
