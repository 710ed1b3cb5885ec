"""Whatever is changed behind the book's back is found, and named."""

from __future__ import annotations

import contextlib
import random
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import Connection, create_engine, text

from stainbook.book import Book, access, open_book
from stainbook.book.wanted import BookQuery
from stainbook.errors import BookError
from stainbook.records import Stain
from tests.book.worked import outcome, recipe


@contextmanager
def behind(url: str) -> Iterator[Connection]:
    engine = create_engine(url)
    with engine.begin() as connection:
        yield connection
    engine.dispose()


@pytest.fixture
def filled(book: Book, book_url: str) -> Book:
    book.add_stains([Stain("husk"), Stain("teasel")])
    book.add_outcomes([outcome(), outcome(tooth=21)])
    book.revise_recipe(recipe())
    book.add_fit("optics", {"a": 1.5}, data=b"\0\1")
    return book


def test_an_untouched_book_has_no_fault(filled: Book, book_url: str) -> None:
    checked = filled.verify()
    assert (checked.faults, checked.rows, len(checked.head)) == ((), 6, 64)
    with open_book(book_url, lab="south") as south:
        south.add_stains([Stain("husk")])
        assert (south.newest_row(), filled.newest_row()) == (1, 6)  # each lab counts its own
    again = filled.verify()
    assert (again.faults, again.rows, again.head) == ((), 7, checked.head)
    filled.add_stains([Stain("flour")])
    assert filled.verify().head != checked.head


@pytest.mark.parametrize(
    ("change", "found"),
    [
        ("UPDATE records SET content = replace(content, 'husk', 'hush') WHERE id = 1", "row 1 .*content was changed"),
        ("UPDATE records SET data = NULL WHERE id = 6", "row 6 .*content was changed"),
        ("UPDATE records SET author = 'someone' WHERE id = 2", "row 2 .*author, time or another column"),
        ("UPDATE records SET created_at = '2020' WHERE id = 2", "row 2 .*author, time or another column"),
        ("UPDATE records SET lab = 'south' WHERE id = 2", "row 2 .*another column"),
        ("UPDATE records SET seal = chain WHERE id = 3", "row 3 .*changed"),
        ("DELETE FROM records WHERE id = 4", "row 4: taken out"),
        ("DELETE FROM records WHERE id IN (2, 3)", "rows 2 to 3: taken out"),
        ("DELETE FROM records WHERE id = 6", "row 6: taken off the end"),
        ("UPDATE head SET last = 5", "ends at row 6, the book expects its end at row 5"),
        ("UPDATE records SET id = 99 WHERE id = 1", "row 1: taken out"),
    ],
)
def test_every_change_behind_the_books_back_is_found(filled: Book, book_url: str, change: str, found: str) -> None:
    with behind(book_url) as connection:
        connection.execute(text(change))
    faults = filled.verify().faults
    assert faults
    with pytest.raises(AssertionError, match=found):
        raise AssertionError("; ".join(faults))


def test_a_row_put_in_afterwards_is_found(filled: Book, book_url: str) -> None:
    with behind(book_url) as connection:
        columns = "lab, kind, name, created_at, author, hash, content, salt, seal, chain"
        connection.execute(
            text(f"INSERT INTO records (id, revision, {columns}) SELECT 7, 2, {columns} FROM records WHERE id = 1")
        )
    assert any("row 7" in fault for fault in filled.verify().faults)


def test_a_clock_that_is_set_back_changes_no_order(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    class Earlier(datetime):
        @classmethod
        def now(cls, tz: object = None) -> datetime:  # type: ignore[override]
            return datetime(2001, 1, 1, tzinfo=UTC)

    book.add_stains([Stain("husk", lot="1")])
    monkeypatch.setattr(access, "datetime", Earlier)
    book.add_stains([Stain("husk", lot="2")])
    assert book.stains()["husk"].lot == "2"
    assert [one.created_at[:4] for one in book.entered("stain", "husk")][1] == "2001"
    assert book.verify().faults == ()


@pytest.mark.parametrize(
    "change",
    [
        "DELETE FROM searched WHERE what = 'terms'",
        "UPDATE searched SET piece = 1",
        "UPDATE searched SET shared = NOT shared",
        "UPDATE searched SET what = 'D50/2' WHERE what = 'D65/10'",
        "UPDATE searched SET lab = 'south'",
        "UPDATE searched SET packed = substr(packed, 4)",
    ],
)
def test_what_searches_run_on_is_checked_and_made_again(filled: Book, book_url: str, change: str) -> None:
    with behind(book_url) as connection:
        connection.execute(text(change))
    assert {"--rebuild" in fault for fault in filled.verify().faults} == {True}
    with contextlib.suppress(BookError):  # a search finds less, or says what to do; it does not break
        filled.search(BookQuery((72.0, 1.0, 18.0)))
    filled.rebuild_index()
    assert filled.verify().faults == ()


def test_a_flipped_byte_is_found_or_changes_nothing(tmp_path: Path) -> None:
    file = tmp_path / "lab.db"
    with open_book(f"sqlite:///{file}") as book:
        book.add_stains(Stain(f"s{n}", notes="thin " * n) for n in range(30))
        book.add_outcomes([outcome(f"W-{n}") for n in range(10)])
        stored = (book.stains(), book.outcomes())
    whole = file.read_bytes()
    rng = random.Random(20261125)
    found = 0
    for _ in range(60):
        damaged = bytearray(whole)
        damaged[rng.randrange(100, len(whole))] ^= 1 << rng.randrange(8)
        file.write_bytes(damaged)
        try:
            with open_book(f"sqlite:///{file}") as book:
                faults = book.verify().faults
                found += bool(faults)
                assert faults or (book.stains(), book.outcomes()) == stored
        except BookError:
            found += 1
    assert found > 20  # the rest hit free space
