"""An erased case: nothing names it any more, its colours stay, the chain holds."""

from __future__ import annotations

from pathlib import Path

import pytest
from sqlalchemy import create_engine, text

from stainbook.book import Book
from stainbook.book.wanted import BookQuery
from stainbook.errors import UnknownNameError
from stainbook.kept import Firing
from stainbook.records import Reading, Viewing
from tests.book.worked import case, outcome, recipe

WHEN = "2026-03-02T10:40:00Z"


@pytest.fixture
def filled(book: Book) -> Book:
    with book.transaction() as step:
        step.add_cases([case(), case("W-104")])
        step.add_readings([outcome().after, Reading("W-104-11-cervical", lab=(70.0, 0.0, 9.0), viewing=Viewing())])
        step.add_readings([Reading("gum-b", lab=(50.0, 20.0, 12.0), viewing=Viewing(), source="W-1042.csv row 9")])
        step.add_firings([Firing("W-1042", WHEN, clinic="Harbour")])
        step.add_outcomes([outcome(note="patient waits"), outcome("W-104")])
        step.revise_recipe(recipe())
    book.add_outcomes([outcome(note="patient waits", operator="bench-1")], why="W-1042 was bench-1")
    return book


def test_nothing_names_the_case_any_more(filled: Book, book_url: str) -> None:
    filled.erase_case("W-1042", why="asked for")
    engine = create_engine(book_url)
    with engine.connect() as connection:
        said = "\n".join(map(repr, connection.execute(text("SELECT * FROM records")).all()))
    engine.dispose()
    assert not [word for word in ("W-1042", "Harbour", "patient waits") if word in said]
    assert "W-104" in said


def test_its_colours_stay_and_other_cases_are_untouched(filled: Book) -> None:
    tombstone = filled.erase_case("W-1042")
    left, other = filled.outcomes()
    assert other == outcome("W-104")
    assert (left.after.lab, left.layers, left.operator) == (outcome().after.lab, outcome().layers, "bench-1")
    assert left.case == tombstone.name
    assert "W-104" in filled.cases()
    assert filled.find_reading("gum-b") is not None
    assert filled.find_reading("W-104-11-cervical") is not None
    assert filled.search(BookQuery(conditions=(("case", "W-1042"),))) == ()


def test_the_chain_still_holds_and_a_change_of_what_is_left_is_found(filled: Book, book_url: str) -> None:
    filled.erase_case("W-1042")
    checked = filled.verify()
    assert checked.faults == ()
    assert checked.erased == 7
    engine = create_engine(book_url)
    with engine.begin() as connection:
        connection.execute(
            text("UPDATE records SET content = replace(content, '72.0', '73.0') WHERE content LIKE '%\"erased-%'")
        )
    engine.dispose()
    assert filled.verify().faults


def test_the_file_itself_holds_no_trace(tmp_path: Path) -> None:
    from stainbook.book import open_book

    url = f"sqlite:///{tmp_path / 'lab.db'}"
    with open_book(url) as book:
        book.add_outcomes([outcome("W-77713", note="left-handed")])
    with open_book(url) as book:
        book.erase_case("W-77713")
    data = (tmp_path / "lab.db").read_bytes()
    assert b"W-77713" not in data
    assert b"left-handed" not in data
    assert [path.name for path in tmp_path.iterdir()] == ["lab.db"]


def test_an_unknown_case_is_told(filled: Book) -> None:
    with pytest.raises(UnknownNameError, match="W-1042"):
        filled.erase_case("W-1O42")
    assert filled.verify().erased == 0


def test_a_nameless_outcome_is_still_found_by_its_colour(filled: Book) -> None:
    wanted = BookQuery(outcome().got.lab, conditions=(("operator", "bench-1"),))
    filled.erase_case("W-1042")
    (hit,) = filled.search(wanted)
    assert hit.entered.record.case.startswith("erased-")
    before = filled.verify()
    filled.rebuild_index()
    assert filled.verify() == before
    assert filled.search(wanted) == (hit,)


def test_what_was_taken_back_or_shared_is_found_by_nobody_once_its_case_is_erased(book: Book) -> None:
    book.add_cases([case()])
    book.add_outcomes([outcome(), outcome(tooth=21)])
    for one in (outcome(), outcome(tooth=21)):
        book.share("outcome", one.outcome)
    book.take_back(outcome(), why="another piece was read")
    book.erase_case("W-1042")
    assert [hit.entered.record.tooth for hit in book.search(BookQuery(conditions=(("kind", "outcome"),)))] == [21]
    assert book.verify().faults == ()
    assert not [line for line in book.history() if "W-1042" in str(line)]
