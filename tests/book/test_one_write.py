"""Several revisions of one thing in one write are the same as one write after another."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stainbook.book import Book, open_book
from stainbook.book.wanted import BookQuery
from stainbook.errors import InputError
from stainbook.records import Case, Stain
from tests.book.worked import case, outcome

STAINS = st.builds(Stain, st.sampled_from(["barley", "peat"]), lot=st.sampled_from([None, "x", "y"]))
CASES = st.builds(
    lambda code, stage, mark: replace(case(code), stage=stage, mark=mark),
    st.sampled_from(["W-1", "W-2"]),
    st.sampled_from(["blasted", "stained"]),
    st.sampled_from([None, "0" * 16, "1" * 16]),
)
OUTCOMES = st.builds(outcome, tooth=st.sampled_from([11, 21]), note=st.sampled_from([None, "thin", "thick"]))
Add = Callable[[Any], int]


def test_two_revisions_of_a_stain_in_one_write_are_two_and_the_last_holds(book: Book) -> None:
    lots = [Stain("barley"), Stain("barley", lot="x")]
    assert book.add_stains(lots) == 2
    assert [one.record for one in book.entered("stain", "barley")] == lots
    assert book.stains() == {"barley": lots[1]}
    assert [hit.entered.revision for hit in book.search(BookQuery(conditions=(("stain", "barley"),)))] == [2]
    assert book.verify().faults == ()


def test_the_same_case_twice_in_one_write_is_stored_once(book: Book) -> None:
    assert book.add_cases([case(), case()]) == 1
    assert len(book.entered("case", case().case)) == 1
    assert book.verify().faults == ()


def test_two_cases_of_one_write_bear_no_mark_in_common(book: Book) -> None:
    book.add_cases([replace(case(code), mark="0" * 16) for code in ("W-1", "W-2")])
    first, second = book.cases().values()
    assert first.mark == "0" * 16
    assert second.mark not in (None, first.mark)


def test_what_is_told_twice_in_one_write_adds_or_is_corrected_as_ever(book: Book) -> None:
    noted = outcome(note="thin")
    assert book.add_outcomes([outcome(), noted, noted]) == 2
    with pytest.raises(InputError, match="--because"):
        book.add_outcomes([outcome(tooth=21), outcome(tooth=21, note="thin"), outcome(tooth=21, note="thick")])
    assert book.outcomes() == (noted,)
    assert book.add_outcomes([outcome(tooth=21, note=one) for one in ("thin", "thick")], why="misread") == 2
    (said,) = book.corrections().values()
    assert (said.why, book.outcomes()[1].note) == ("misread", "thick")
    assert book.verify().faults == ()


@settings(max_examples=10, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(STAINS, max_size=5), st.lists(CASES, max_size=5), st.lists(OUTCOMES, max_size=5), st.booleans())
def test_one_write_is_the_same_as_one_after_another(tmp_path_factory, stains, cases, outcomes, shared) -> None:
    folder = tmp_path_factory.mktemp("writes")
    books = [open_book(f"sqlite:///{folder}/{name}.db", lab="north") for name in ("together", "apart")]
    for book, parts in zip(books, (_together, _apart), strict=True):
        with book:
            if shared:
                book.add_stains([Stain("barley", lot="first")])
                book.share("stain", "barley")
            for add, records in (
                (book.add_stains, stains),
                (book.add_cases, cases),
                (lambda some, book=book: book.add_outcomes(some, why="misread"), outcomes),
            ):
                parts(add, records)
            assert book.verify().faults == ()
    first, second = (_told(book) for book in books)
    assert first == second


def _together(add: Add, records: Iterable[Any]) -> None:
    add(records)


def _apart(add: Add, records: Iterable[Any]) -> None:
    for one in records:
        add([one])


def _told(book: Book) -> list[Any]:
    """What the book says of each thing in each revision; marks that are drawn are told by whether they are there."""
    kinds = ("stain", "case", "outcome")
    rows = [one for kind in kinds for name in book.names(kind) for one in book.entered(kind, name)]
    said = [(one.kind, one.name, one.revision, _without_mark(one.record)) for one in rows]
    return [*said, sorted(one.why for one in book.corrections().values())]


def _without_mark(record: Any) -> Any:
    return (replace(record, mark=None), record.mark is not None) if isinstance(record, Case) else record
