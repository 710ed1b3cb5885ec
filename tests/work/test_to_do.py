"""What else waits: chips due and out, jars, results that are held back, pieces to be read first, try-ins."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from stainbook.apparatus import Jar
from stainbook.book import Book, open_book
from stainbook.records import CaseZone, Reading
from stainbook.work.app.to_do import to_do
from stainbook.work.case.folded_cases import FoldedCases, in_the_lab
from stainbook.work.case.way import did, undo_did
from stainbook.work.firing.record import record_files
from stainbook.work.lab.jar_stock import keep_jar, not_run_out, run_out
from tests.work.benches import calibrated, fired
from tests.work.test_tray import BARE, SEEN, open_cases, painted

GREEN = replace(BARE, case="G-1", stage="green", zones=(CaseZone(11, "middle", "tooth"),))
LAST = datetime(2026, 2, 12, 9, tzinfo=UTC)  # of the weekly chip


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}", author="bench-1") as opened:
        open_cases(opened, BARE, GREEN)
        yield opened


def weekly(book: Book, *, last: float = 72.0, weeks: int = 8) -> None:
    for week in range(weeks):
        at = (LAST - timedelta(weeks=weeks - 1 - week)).isoformat()
        L = last if week == weeks - 1 else 72.0 + 0.05 * (week % 3)
        book.add_readings([Reading("tile", lab=(L, 1.0, 14.0), viewing=SEEN, taken_at=at, instrument="hand")])


def lines(book: Book, now: datetime = LAST) -> list[tuple[str, str]]:
    return [(one.kind, one.name) for one in to_do(book, in_the_lab(book), now=now)]


def test_nothing_waits_in_a_lab_that_has_done_all(book: Book) -> None:
    weekly(book)
    assert lines(book) == []
    assert lines(book, LAST + timedelta(days=7)) == []


def test_a_chip_is_due_after_a_week_and_out_of_control_before_that(book: Book) -> None:
    weekly(book)
    assert lines(book, LAST + timedelta(days=7, minutes=1)) == [("chip-due", "tile")]
    book.add_readings(
        [Reading("tile", lab=(75.0, 1.0, 14.0), viewing=SEEN, taken_at="2026-02-19T09:00:00Z", instrument="hand")]
    )
    (out,) = to_do(book, {}, now=LAST + timedelta(days=20))  # told once: as out, not as due too
    assert (out.kind, out.name, out.at[:10]) == ("chip-out", "tile", "2026-02-19")


def test_a_sintered_piece_is_to_be_read_before_it_is_painted(book: Book) -> None:
    for step in ("dried", "sintered"):
        did(book, "G-1", step)
    assert lines(book) == [("read-first", "G-1")]
    book.add_readings([Reading("G-1-11-middle", lab=(71.0, 1.0, 14.0), viewing=SEEN)])
    assert lines(book) == []
    did(book, "G-1", "blasted")  # what was read before it stands no longer
    assert lines(book) == [("read-first", "G-1")]


def test_a_piece_at_a_try_in_waits_since_it_was_sent(book: Book) -> None:
    did(book, "W-1", "try-in", at="2026-03-02T10:40")
    (one,) = to_do(book, in_the_lab(book), now=LAST)
    assert (one.kind, one.case, one.at) == ("try-in", "W-1", "2026-03-02T10:40:00Z")
    undo_did(book, "W-1", "try-in")
    assert lines(book) == []


def test_jars_that_ran_out_and_are_meant_and_jars_without_a_stripe(book: Book) -> None:
    keep_jar(book, Jar("husk", "25-1", opened_on="2026-03-02"))
    assert lines(book) == [("no-stripe", "husk: 25-1")]
    run_out(book, "husk", "25-1", on="2026-03-09")
    assert lines(book) == []  # no open case means it
    book.add_cases([replace(BARE, case="W-2", lots=(("husk", "25-1"),))])
    (one,) = to_do(book, in_the_lab(book), now=LAST)
    assert (one.kind, one.name, one.n, one.at) == ("jar-out", "husk: 25-1", 1, "2026-03-09")
    not_run_out(book, "husk", "25-1")
    assert lines(book) == [("no-stripe", "husk: 25-1")]


def test_results_that_are_held_back_lead_to_their_case(tmp_path: Path) -> None:
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}", author="bench-1") as book:
        calibrated(book, tmp_path)
        record_files(book, [fired(tmp_path)])
        record_files(book, [fired(tmp_path, husk=2.0, fired_at="2026-03-03T10:40:00Z")])
        assert [(one.kind, one.case, one.n) for one in to_do(book, {}, now=LAST)] == [("held", "W-1042", 1)]


def test_a_case_is_folded_anew_where_something_concerns_it_and_only_then(book: Book) -> None:
    cases = FoldedCases()
    first = cases.in_the_lab(book)
    assert list(first) == ["G-1", "W-1"]
    painted(book, "W-1")
    again = cases.in_the_lab(book)
    assert again["W-1"].state.unfired
    assert again["G-1"] is first["G-1"]
    book.add_readings([Reading("G-1-11-middle", lab=(71.0, 1.0, 14.0), viewing=SEEN)])
    assert cases.in_the_lab(book)["G-1"] is not first["G-1"]
    did(book, "W-1", "try-in")
    undo_did(book, "W-1", "try-in")  # a correction may concern any case
    assert not cases.in_the_lab(book)["W-1"].state.out
    for step in ("bonded",):
        book.add_cases([replace(BARE, case="OUT", stage="delivered")])
        did(book, "W-1", step)
    assert list(cases.in_the_lab(book)) == ["W-1", "G-1"]  # a delivered one is in no list
