"""The timeline of a case: the journal told newest first, its photos, and notes that change nothing of the piece."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from stainbook.book import Book, open_book
from stainbook.errors import InputError, UnknownNameError
from stainbook.kept import Photo
from stainbook.records import Reading
from stainbook.work.case.current_case import known_case
from stainbook.work.case.way import did, strip_of
from stainbook.work.firing.case_timeline import note, timeline, undo_note
from stainbook.work.firing.tray_firing import TrayWish, put_in, taken_out
from stainbook.work.lab.erase_case import erase_case
from stainbook.work.lab.exchange import export, import_
from tests.work.test_tray import BARE, MIX, SEEN, open_cases, painted


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}", author="bench-1") as opened:
        open_cases(opened, BARE)
        for at, L in (("2026-03-01T09:00:00Z", 72.0), ("2026-03-01T09:01:00Z", 72.4)):
            opened.add_readings([Reading("W-1-11-middle", lab=(L, 1.0, 15.0), viewing=SEEN, taken_at=at)])
        yield opened


def told(book: Book) -> list[tuple[str, str]]:
    return [(one.kind, one.what) for one in timeline(book, "W-1")]


def test_it_is_the_journal_the_newest_first(book: Book) -> None:
    painted(book, "W-1")
    tray = put_in(book, ["W-1"], TrayWish("stain", "stain"))
    for subject in ("piece", "patient"):
        book.add_photo(Photo("W-1", "2026-03-01T09:00:00Z", subject, 60, 40, ()), b"a JPEG")
    taken_out(book, tray.tray)
    entries = timeline(book, "W-1")
    assert [one.at for one in entries[:-1]] == sorted((one.at for one in entries[:-1]), reverse=True)
    assert entries[-1].kind == "opened"  # before all else, though it was told later
    fired = next(one for one in entries if one.kind == "fired")
    assert "fired (stain)" in fired.what
    assert (fired.who, fired.zones[0].zone, fired.zones[0].painted, fired.zones[0].got) == (
        "bench-2", "11 middle", MIX, None,
    )  # fmt: skip
    assert (fired.before, fired.after) == ("W-1 piece 2026-03-01T09:00:00Z", None)  # the patient's photo is no such one
    assert sum(one.kind == "read" for one in entries) == 1  # read twice within a minute, by one hand
    assert next(one for one in entries if one.kind == "read").zones[0].got is not None
    assert next(one for one in entries if one.kind == "painted").zones[0].painted == MIX
    with pytest.raises(UnknownNameError, match="W-9"):
        timeline(book, "W-9")


def test_a_note_changes_nothing_of_the_piece_and_is_undone(book: Book) -> None:
    did(book, "W-1", "polished")
    before = known_case(book, "W-1").state
    note(book, "W-1", "  asked for a warmer neck\nsecond line ")
    after = known_case(book, "W-1").state
    assert (after.last, after.zones, after.stage) == (before.last, before.zones, before.stage)
    assert strip_of(known_case(book, "W-1")).last == "polished"  # still what the case page undoes
    first = timeline(book, "W-1")[0]
    assert (first.kind, first.note, first.who) == ("noted", "asked for a warmer neck\nsecond line", "bench-1")
    with pytest.raises(UnknownNameError):
        undo_note(book, "W-1", "no such")
    undo_note(book, "W-1", first.id)
    assert ("noted", "noted") not in told(book)
    for wrong, said in ((" ", "empty note"), ("x" * 20_000, "at most"), ("a\u202eb", "not seen")):
        with pytest.raises(InputError, match=said):
            note(book, "W-1", wrong)


def test_a_note_is_handed_on_and_erased_with_its_case(book: Book, tmp_path: Path) -> None:
    note(book, "W-1", "the bride of Tuesday")
    export(book, tmp_path / "x.zip")
    with open_book(f"sqlite:///{tmp_path / 'other.db'}") as other:
        import_(other, tmp_path / "x.zip")
        assert timeline(other, "W-1")[0].note == "the bride of Tuesday"
    erase_case(book, "W-1", why="asked by the clinic", sure=True)
    assert b"bride" not in (tmp_path / "lab.db").read_bytes()
