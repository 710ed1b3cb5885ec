"""An outcome that nothing explains: held back, said so, decided by somebody, and learnt from as decided."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from stainbook.book import Book, open_book
from stainbook.errors import InputError, UnknownNameError
from stainbook.lab import Lab
from stainbook.work.case.advise import AdviceAsked
from stainbook.work.case.explain import explain
from stainbook.work.firing.record import record_files
from stainbook.work.lab.verify_book import verify
from stainbook.work.stains.held import decide, decisions_shown, held_back
from stainbook.work.stains.outcome_learning import SCOPE, known_of
from tests.work.benches import calibrated, fired

PLACE = (11, "cervical")
SECOND, THIRD = "2026-03-03T10:40:00Z", "2026-03-04T10:40:00Z"


@pytest.fixture(scope="module")
def taught(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book with an honest outcome, and one of husk 1/4 whose reading is of much more."""
    folder = tmp_path_factory.mktemp("held")
    with open_book(f"sqlite:///{folder / 'lab.db'}") as book:
        calibrated(book, folder)
        record_files(book, [fired(folder)])
        record_files(book, [fired(folder, husk=2.0, fired_at=SECOND)])
    return folder / "lab.db"


@pytest.fixture
def book(taught: Path, tmp_path: Path) -> Iterator[Book]:
    (tmp_path / "lab.db").write_bytes(taught.read_bytes())
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}", author="bench-1") as opened:
        yield opened


def hand(book: Book) -> float:
    found = known_of(book)
    assert found is not None
    return found[1].factors["operator", "bench-1", None].ln


def test_record_says_held_where_the_learning_holds_back(book: Book, tmp_path: Path) -> None:
    again = record_files(book, [fired(tmp_path, husk=2.0, fired_at=SECOND)])
    assert (again.stored, again.outcomes) == (False, [])  # told twice, stored once
    (one,) = record_files(book, [fired(tmp_path, husk=2.0, fired_at=THIRD)]).outcomes
    assert one.held
    assert "wrong sample was read or the stains were mixed up" in (one.why or "")
    assert 'book confirm W-1042 "11 cervical"' in (one.next_step or "")
    second, held = held_back(book)
    assert (held.case, held.tooth, held.zone, held.fired_at, held.why) == ("W-1042", *PLACE, THIRD, one.why)
    assert held.dE00 == pytest.approx(one.dE00, abs=0.5)  # expected before and after the first outcome
    fit = book.fit(SCOPE)
    assert fit is not None
    assert set(fit.document["held"]) == {second.outcome, held.outcome}


def test_it_teaches_nothing_until_it_is_confirmed_and_then_in_full(book: Book) -> None:
    before = hand(book)
    done = decide(book, "W-1042", PLACE, "true", why="painted twice")
    assert done.decided is not None
    assert (done.decided.verdict, done.decided.author, done.decided.why) == ("true", "bench-1", "painted twice")
    assert done.held == []
    assert hand(book) > before + 0.01  # heavier, as far as one outcome tells that of the hand that made the chips
    assert [one.verdict for one in decisions_shown(book, "W-1042", PLACE)] == ["true"]
    assert verify(book).faults == []
    decide(book, "W-1042", PLACE, "open", fired_at=SECOND)
    assert hand(book) == pytest.approx(before, abs=1e-9)
    assert len(held_back(book)) == 1


def test_what_is_set_aside_is_never_learnt_from_until_the_outcome_is_corrected(book: Book, tmp_path: Path) -> None:
    before = hand(book)
    done = decide(book, "W-1042", PLACE, "wrong")
    assert done.held == []
    assert hand(book) == pytest.approx(before, abs=1e-9)
    assert verify(book).faults == []
    right = fired(tmp_path, husk=0.55, fired_at=SECOND)
    (one,) = record_files(book, [right], because="12 was read").outcomes
    assert not one.held
    assert book.decisions() == {}
    found = known_of(book)
    assert found is not None
    assert found[1].factors["operator", "bench-1", None].outcomes == 2


def test_what_cannot_be_decided_is_named(book: Book) -> None:
    with pytest.raises(UnknownNameError, match="W-1042"):
        decide(book, "W-1024", PLACE, "true")
    with pytest.raises(UnknownNameError, match="11 cervical"):
        decide(book, "W-1042", (11, "middle"), "true")
    with pytest.raises(UnknownNameError, match=SECOND):
        decide(book, "W-1042", PLACE, "true", fired_at="2026-03-04T10:40:00Z")
    with pytest.raises(InputError, match="nothing to open"):
        decide(book, "W-1042", PLACE, "open")


def test_pages_ask_by_the_books_place(taught: Path, tmp_path: Path) -> None:
    (tmp_path / "page.db").write_bytes(taught.read_bytes())
    url = f"sqlite:///{tmp_path / 'page.db'}"
    (held,) = Lab.open(url).stains.held("W-1042")
    decided = Lab.open(url).stains.decide(held.case, (11, held.zone), "wrong", fired_at=held.fired_at)
    assert decided.held == []
    assert Lab.open(url).stains.held("W-1042") == ()


def test_explain_tells_what_is_held_decided_and_learnt(book: Book, tmp_path: Path) -> None:
    fired(tmp_path)
    path = tmp_path / "W-1042.yaml"
    path.write_text(
        "case: W-1042\noperator: bench-1\nstage: stained\nzones:\n  - {tooth: 11, zone: cervical, "
        "now: {file: fired.csv, sample: W-1042-11-cervical},\n"
        "     target: {L: 75, a: 3, b: 15, illuminant: D65, observer: 10}}\n"
    )
    (held,) = explain(book, path, *PLACE).held
    assert held.fired_at == SECOND
    decide(book, "W-1042", PLACE, "wrong", why="12 was read")
    told = explain(book, path, *PLACE)
    assert (told.held, [one.why for one in told.decided]) == ([], ["12 was read"])
    assert any(line.startswith("bench-1 lays on") for line in told.learnt)
    assert any("how far bench-1 scatters from coat to coat, 1 outcome can't yet tell" in line for line in told.learnt)
    new = explain(book, path, *PLACE, AdviceAsked(operator="bench-9"))
    assert any(line.startswith("bench-9 has no outcome yet") for line in new.learnt)
