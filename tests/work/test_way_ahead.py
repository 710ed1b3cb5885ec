"""What is to come on the way of a piece: of its own form and finish, nothing that is behind it."""

import pytest

from stainbook.book import open_book
from stainbook.records import Case, CaseZone, Limits, Stain
from stainbook.work.case.current_case import known_case
from stainbook.work.case.delivery import deliver
from stainbook.work.case.way import did, strip_of
from stainbook.work.firing.glazed import glazed_all
from stainbook.work.stains.known_stains import liquids_for
from tests.work.opened import opened

LAST = ["try-in", "delivered"]


@pytest.fixture
def book(tmp_path):
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}", author="bench-1") as found:
        yield found


def ahead(book, *, liquids=False):
    return [one.word for one in strip_of(known_case(book, "W-1"), liquids=liquids).way if one.ahead]


def crown(book, stage, finish="glaze", **limits):
    opened(book, Case("W-1", (CaseZone(11, "middle", "tooth"),), "zirconia", stage, finish, limits=Limits(**limits)))


def test_surface_stain_has_no_colouring_and_no_sintering_ahead(book):
    crown(book, "blasted")
    assert ahead(book, liquids=True) == ["stained", "glazed", *LAST]


def test_a_step_that_was_done_is_behind_and_has_its_date(book):
    crown(book, "green")
    assert ahead(book, liquids=True) == ["coloured", "sintered", "blasted", "stained", "glazed", *LAST]
    assert ahead(book) == ["sintered", "blasted", "stained", "glazed", *LAST]
    did(book, "W-1", "sintered")
    assert ahead(book, liquids=True) == ["blasted", "stained", "glazed", *LAST]
    did(book, "W-1", "blasted")
    assert ahead(book) == ["stained", "glazed", *LAST]


@pytest.mark.parametrize(
    ("finish", "limits", "words"), [("polish", {}, ["stained"]), ("glaze", {"firings_left": 0}, ["glazed"])]
)
def test_finish_and_firings_decide(book, finish, limits, words):
    crown(book, "blasted", finish, **limits)
    assert ahead(book) == [*words, *LAST]


def test_at_the_clinic_and_once_it_left(book):
    crown(book, "blasted")
    glazed_all(book, "W-1")
    assert ahead(book) == LAST
    did(book, "W-1", "try-in")
    assert ahead(book) == ["delivered"]
    did(book, "W-1", "back")
    deliver(book, "W-1")
    assert ahead(book) == []


def test_a_provisional_goes_no_such_way(book):
    crown(book, "trial")
    assert ahead(book) == []


def test_liquids_are_those_that_the_material_takes(book):
    book.add_stains([Stain("tide", "infiltrating", materials=("zirconia",)), Stain("husk")])
    assert (liquids_for(book, "zirconia"), liquids_for(book, "lithium disilicate")) == (["tide"], [])
