"""A lab that looks on: what the program would have said stands beside what the hand did, said before it learns."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from stainbook.book import Book, open_book
from stainbook.files import read_outcome, read_readings, write_readings
from stainbook.match import UNWATCHED
from stainbook.records import Case, CaseZone, LabRef, Target, Viewing
from stainbook.work.case.case_desk import CaseDesk, Step, open_desk
from stainbook.work.case.chosen import choose_step
from stainbook.work.firing.record import record_files
from stainbook.work.lab.claims_met import trust
from stainbook.work.lab.settings import keep_shadow
from tests.work.benches import calibrated, fired, reading
from tests.work.opened import opened

KEY = (11, "cervical")


@pytest.fixture(scope="module")
def taught(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("taught")
    with open_book(f"sqlite:///{folder / 'lab.db'}") as book:
        calibrated(book, folder)
        target = Target(LabRef((77.0, 2.5, 7.5), Viewing("D65", 10)))
        zone = CaseZone(*KEY, "tooth", target=target)
        opened(book, Case("W-1042", (zone,), "zirconia", "sintered"))
        book.add_readings([reading("W-1042-11-cervical", taken_at="2026-03-01T09:00:00Z", stage="sintered")])
    return folder / "lab.db"


@pytest.fixture
def book(taught: Path, tmp_path: Path) -> Iterator[Book]:
    (tmp_path / "lab.db").write_bytes(taught.read_bytes())
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}", author="bench-1") as found:
        yield found


def told(folder: Path, **more: object) -> Path:
    """The firing of `benches`, its piece read before as the book has it."""
    path = fired(folder, **more)  # type: ignore[arg-type]
    text = path.read_text()
    path.write_text(text.replace("before: {file: fired.csv, sample: W-1042-11-cervical},", ""))
    return path


def desk_of(book: Book) -> CaseDesk:
    return open_desk(book, "W-1042", UNWATCHED)


def test_nothing_is_looked_on_at_unless_the_lab_wishes_it(book: Book, tmp_path: Path) -> None:
    (one,) = record_files(book, [told(tmp_path)]).outcomes
    (stored,) = book.outcomes()
    assert (one.beside, stored.claim, stored.beside) == (None, None, None)


def test_the_claims_are_those_of_before_the_firing(book: Book, tmp_path: Path) -> None:
    desk = desk_of(book)
    first = desk.view.advised.zones[0].moves[0]
    path = told(tmp_path)
    result = record_files(book, [path], shadow=True)
    assert result.warnings == []
    (one,) = result.outcomes
    (stored,) = book.outcomes()
    painted = desk.lay({KEY: Step("add", stored.layers)})[KEY]
    assert stored.claim.shown is False
    assert stored.claim.accept == pytest.approx(painted.accept, abs=0.02)  # the hand is named now, as it was not
    assert stored.claim.colour.lab == pytest.approx((painted.colour.L, painted.colour.a, painted.colour.b), abs=0.05)
    assert stored.claim.radius == pytest.approx(painted.radius, rel=0.1)
    assert stored.beside.kind == first.kind
    assert [layer.pot.as_dict() for layer in stored.beside.layers] == [layer.pot for layer in first.layers]
    assert one.beside.accept == stored.beside.claim.accept
    assert one.beside.painted_accept == stored.claim.accept


def test_as_the_lab_decided_and_for_once(book: Book, tmp_path: Path) -> None:
    keep_shadow(book, shadow=True)
    record_files(book, [told(tmp_path)])
    record_files(book, [told(tmp_path, husk=0.9, fired_at="2026-03-03T10:40:00Z")], shadow=False)
    assert [one.claim is not None for one in book.outcomes()] == [True, False]
    assert trust(book).shadow.whole.zones == 1


def test_the_same_told_again_says_what_was_said_then(book: Book, tmp_path: Path) -> None:
    record_files(book, [told(tmp_path)], shadow=True)
    (then,) = book.outcomes()
    record_files(book, [told(tmp_path, extra="accepted_by: clinic\n")], shadow=True)
    (now,) = book.outcomes()
    assert now.accepted is True
    assert (now.claim, now.beside) == (then.claim, then.beside)


def test_nothing_is_claimed_after_the_fact(book: Book, tmp_path: Path) -> None:
    record_files(book, [told(tmp_path)])
    record_files(book, [told(tmp_path, extra="accepted_by: clinic\n")], shadow=True)
    assert book.outcomes()[0].claim is None


def test_what_was_painted_as_chosen_has_its_claim_with_a_radius(book: Book, tmp_path: Path) -> None:
    desk = desk_of(book)
    choose_step(book, desk, [KEY], Step("add", _painted(tmp_path)))
    soon = (datetime.now(UTC) + timedelta(hours=1)).isoformat(timespec="seconds")
    record_files(book, [told(tmp_path, fired_at=soon)], shadow=True)
    (stored,) = book.outcomes()
    assert stored.claim.shown is True
    assert stored.claim.radius > 0.1
    assert stored.beside is None


def test_a_reading_of_after_that_the_book_holds_already_is_not_the_start(book: Book, tmp_path: Path) -> None:
    path = told(tmp_path)
    write_readings(tmp_path / "after.csv", [reading("W-1042-11-cervical", husk=0.5, taken_at="2026-03-02T11:00:00Z")])
    start = desk_of(book).view.advised.zones[0].now
    book.add_readings(read_readings(tmp_path / "after.csv").all)
    record_files(book, [path], shadow=True)
    (stored,) = book.outcomes()
    assert stored.beside.claim.colour is not None
    assert stored.before.taken_at == "2026-03-01T09:00:00Z"
    assert start is not None


def _painted(folder: Path):  # type: ignore[no-untyped-def]
    return read_outcome(fired(folder)).records[0].zones[0].layers
