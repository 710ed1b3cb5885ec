"""A tray in the furnace: who may go in, one record for all, undone, and two benches at once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from stainbook.apparatus import Programme
from stainbook.book import Book, open_book
from stainbook.errors import InputError, UnknownNameError
from stainbook.kept import StepDone
from stainbook.records import Case, CaseZone, LabRef, Reading, Stain, Viewing
from stainbook.work.case.current_case import known_case
from stainbook.work.case.folded_cases import in_the_lab
from stainbook.work.case.way import did
from stainbook.work.firing import tray_firing
from stainbook.work.firing.results import ZoneResult, note_painted
from stainbook.work.firing.tray_firing import TrayRow, TrayWish, back_in, newest_out, not_in, put_in, taken_out, trays
from stainbook.work.lab.erase_case import erase_case
from stainbook.work.stains.painted import liquids_of

SEEN = Viewing("D65", 10)
ZONES = (CaseZone(11, "middle", "tooth", now=LabRef((72.0, 1.0, 15.0), SEEN)),)
BARE = Case("W-1", ZONES, material="zirconia", stage="blasted", finish="glaze")
STAIN = TrayWish("stain", "stain", "small", "bench-1", "24")
MIX = "2 coats of (1 part husk + 7 parts clear)"


def open_cases(book: Book, *cases: Case) -> None:
    book.add_stains([Stain("husk"), Stain("bracken", kind="infiltrating"), Stain("clear", kind="clear")])
    book.add_cases(cases)


def painted(book: Book, *codes: str, mix: str = MIX) -> None:
    for code in codes:
        note_painted(book, code, [ZoneResult(11, "middle", mix)], "bench-2")


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book with two painted pieces and an unsintered one."""
    place = tmp_path_factory.mktemp("tray") / "lab.db"
    with open_book(f"sqlite:///{place}", author="bench-1") as opened:
        green = replace(BARE, case="G-1", stage="green", zones=(CaseZone(11, "middle", "tooth"),))
        open_cases(opened, BARE, replace(BARE, case="W-2"), green)
        painted(opened, "W-1", "W-2")
    return place


@pytest.fixture
def book(filled: Path, tmp_path: Path) -> Iterator[Book]:
    (tmp_path / "lab.db").write_bytes(filled.read_bytes())
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}", author="bench-1") as opened:
        yield opened


def rows(book: Book, wish: TrayWish, *ticked: str) -> dict[str, TrayRow]:
    pieces = tray_firing.pieces_in_the_lab(book, in_the_lab(book))
    found = tray_firing.tray_rows(pieces, wish, liquids_of(book.stains().values()), ticked)
    assert [one.why is not None for one in found] == sorted(one.why is not None for one in found)
    return {one.case: one for one in found}


def test_one_press_records_a_firing_of_each_piece_as_it_was_painted(book: Book) -> None:
    tray = put_in(book, ["W-1", "W-2"], STAIN)
    assert [(one.tray.cases, one.by) for one in trays(book)] == [(("W-1", "W-2"), "bench-1")]
    done = taken_out(book, tray.tray)
    assert [(one.tooth, one.zone) for one in done.painted] == [(11, "middle")] * 2
    first, second = sorted(book.firings(), key=lambda one: one.case)
    assert (first.run, first.fired_at, first.programme, first.furnace, first.kind) == (
        tray.tray,
        tray.put_in_at,
        "stain",
        "small",
        "stain",
    )
    assert second.run == tray.tray
    assert (first.minutes, second.minutes) == (24.0, None)  # minutes count once a firing
    assert (first.operator, second.operator) == ("bench-2", "bench-2")  # who painted
    assert not book.all_painted()
    assert {known_case(book, code).state.stage for code in ("W-1", "W-2")} == {"stained"}
    assert trays(book) == ()


def test_a_mistaken_press_is_undone_whole_and_pressed_again(book: Book) -> None:
    tray = put_in(book, ["W-1", "W-2"], STAIN)
    taken_out(book, tray.tray)
    back_in(book, tray.tray)
    assert book.firings() == ()
    assert {one.case for one in book.all_painted()} == {"W-1", "W-2"}
    (again,) = trays(book)
    assert (again.tray.put_in_at, again.tray.minutes) == (tray.put_in_at, 24.0)  # the timer goes on
    taken_out(book, tray.tray)
    assert len(book.firings()) == 2
    assert book.verify().faults == ()
    with pytest.raises(InputError, match="no such tray"):
        back_in(book, "tray of another day")


def test_it_is_not_undone_where_a_later_step_rests_on_it_and_then_nothing_is(book: Book) -> None:
    tray = put_in(book, ["W-1", "W-2"], STAIN)
    taken_out(book, tray.tray)
    did(book, "W-2", "stripped")
    with pytest.raises(InputError, match="W-2"):
        back_in(book, tray.tray)
    assert len(book.firings()) == 2
    found = newest_out(book)
    assert found is not None
    assert found.tray.tray == tray.tray


def test_one_that_never_went_in_and_one_piece_that_was_not_on_it(book: Book) -> None:
    tray = put_in(book, ["W-1", "W-2"], STAIN)
    not_in(book, tray.tray, "W-2")
    assert trays(book)[0].tray.cases == ("W-1",)
    assert rows(book, STAIN)["W-2"].why is None
    with pytest.raises(UnknownNameError, match="W-2"):
        not_in(book, tray.tray, "W-2")
    not_in(book, tray.tray, "W-1")  # the last one: the tray never went in
    assert trays(book) == ()
    with pytest.raises(InputError, match="never went in"):
        taken_out(book, tray.tray)


def test_two_benches_at_once_and_the_second_is_told(book: Book) -> None:
    tray = put_in(book, ["W-1"], STAIN)
    other = book.seen_by("bench-2", "")
    with pytest.raises(InputError, match=r"W-1 is in the furnace since .* by bench-1; nothing was stored"):
        put_in(other, ["W-1", "W-2"], STAIN)
    assert "by bench-1" in (rows(other, STAIN)["W-1"].why or "")
    second = put_in(other, ["W-2"], STAIN)
    assert second.tray != tray.tray  # within one second too
    taken_out(book, tray.tray)
    with pytest.raises(InputError, match=r"taken out at .* by bench-1; nothing was stored"):
        taken_out(other, tray.tray)
    assert len(book.firings()) == 1


def test_a_machine_that_stopped_between_the_record_and_the_tray_stores_nothing_twice(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    tray = put_in(book, ["W-1", "W-2"], STAIN)
    with monkeypatch.context() as stopped:
        stopped.setattr(type(book), "transaction", _Once(type(book).transaction))
        with pytest.raises(KeyboardInterrupt):
            taken_out(book, tray.tray)
    assert len(book.firings()) == 2
    assert len(trays(book)) == 1
    taken_out(book, tray.tray)
    assert len(book.firings()) == 2
    assert trays(book) == ()


class _Once:
    """Lets one transaction through, and stops at the next one."""

    def __init__(self, real: object) -> None:
        self.real, self.calls = real, 0

    def __get__(self, book: Book, cls: type) -> object:
        def begun() -> object:
            self.calls += 1
            if self.calls > 1:
                raise KeyboardInterrupt
            return self.real.__get__(book)()  # type: ignore[attr-defined]

        return begun


@pytest.mark.parametrize(
    ("kind", "case", "said"),
    [
        ("stain", replace(BARE, case="X"), "nothing lies unfired on X"),
        ("glaze", replace(BARE, case="X", stage="green"), "X is unsintered"),
        ("stain", replace(BARE, case="X", stage="green"), "record its sintering first"),
        ("sinter", replace(BARE, case="X", stage="green"), "not dried for sintering"),
        ("sinter", replace(BARE, case="X"), "expected an unsintered piece"),
        ("glaze", replace(BARE, case="X", stage="returned"), "cleaned and slowly dried"),
        ("glaze", replace(BARE, case="X", stage="bonded"), "never fired"),
        ("glaze", replace(BARE, case="X", stage="trial"), "never fired"),
    ],
)
def test_a_piece_that_must_not_be_in_is_told_at_its_row_and_not_put_in(
    book: Book, kind: str, case: Case, said: str
) -> None:
    open_cases(book, case)
    wish = TrayWish(kind)
    assert said in (rows(book, wish)["X"].why or "")
    with pytest.raises(InputError, match="nothing was stored"):
        put_in(book, ["X"], wish)
    assert trays(book) == ()


def test_wet_dried_cleaned_and_at_the_clinic(book: Book) -> None:
    wish = TrayWish("sinter")
    did(book, "G-1", "dried")
    assert rows(book, wish)["G-1"].why is None
    tray = put_in(book, ["G-1"], wish)
    taken_out(book, tray.tray)
    assert known_case(book, "G-1").state.stage == "sintered"
    open_cases(book, replace(BARE, case="R", stage="returned"))
    glaze = TrayWish("glaze")
    did(book, "R", "cleaned")
    assert "slowly dried" in (rows(book, glaze)["R"].why or "")
    did(book, "R", "dried")
    assert rows(book, glaze)["R"].why is None
    did(book, "W-1", "try-in")
    assert "at the clinic" in (rows(book, STAIN)["W-1"].why or "")


def test_stain_is_not_fired_as_glaze_and_glaze_alone_may_be(book: Book) -> None:
    assert "stain lies unfired on W-1" in (rows(book, TrayWish("glaze"))["W-1"].why or "")
    painted(book, "W-2", mix="clear")
    assert rows(book, TrayWish("glaze"))["W-2"].why is None
    taken_out(book, put_in(book, ["W-2"], TrayWish("glaze")).tray)
    assert known_case(book, "W-2").state.stage == "glazed"


def test_pieces_that_do_not_fit_one_firing_are_told(book: Book) -> None:
    teeth = tuple(CaseZone(tooth, "middle", "tooth") for tooth in (11, 12, 13, 14, 21, 22, 23))
    open_cases(
        book, replace(BARE, case="L", material="lithium disilicate"), replace(BARE, case="A", zones=teeth),
        replace(BARE, case="P", programme="low"),
    )  # fmt: skip
    painted(book, "L", "A", "P")
    assert {code: row.why for code, row in rows(book, TrayWish("stain")).items() if code in "LAP"} == dict.fromkeys(
        "LAP"
    )
    found = rows(book, TrayWish("stain"), "W-1")
    assert "found material lithium disilicate, expected zirconia as W-1" in (found["L"].why or "")
    assert "an arch: it goes alone" in (found["A"].why or "")
    assert found["P"].why is None
    assert "found programme low, expected stain as this tray" in (rows(book, STAIN)["P"].why or "")
    assert "an arch" in (rows(book, TrayWish("stain"), "A")["W-1"].why or "")
    for odd in ("L", "A"):
        with pytest.raises(InputError, match="nothing was stored"):
            put_in(book, ["W-1", odd], TrayWish("stain"))
    taken_out(book, put_in(book, ["A"], TrayWish("stain")).tray)


def test_what_is_told_meanwhile_is_named_at_the_furnace(book: Book) -> None:
    tray = put_in(book, ["W-1", "W-2"], STAIN)
    note_painted(book, "W-1", [])  # wiped off on another page
    with pytest.raises(InputError, match=r"nothing lies unfired on W-1.*not on this tray"):
        taken_out(book, tray.tray)
    assert book.firings() == ()
    not_in(book, tray.tray, "W-1")
    taken_out(book, tray.tray)
    assert [one.case for one in book.firings()] == ["W-2"]


def test_what_was_read_before_the_press_stands_after_the_firing(book: Book) -> None:
    tray = put_in(book, ["W-1"], STAIN)
    later = (tray_firing.moment(tray.put_in_at) + timedelta(minutes=30)).isoformat()
    book.add_readings([Reading("W-1-11-middle", lab=(71.0, 1.5, 17.0), viewing=SEEN, taken_at=later)])
    taken_out(book, tray.tray)
    read = known_case(book, "W-1").state.zones[11, "middle"].read
    assert [one.lab for one in read] == [(71.0, 1.5, 17.0)]


@pytest.mark.parametrize(
    ("cases", "wish", "said"),
    [
        ([], STAIN, "no piece ticked"),
        (["W-1"], replace(STAIN, minutes="soon"), "minutes"),
        (["W-1"], replace(STAIN, minutes="0"), "minutes"),
        (["W-1"], replace(STAIN, minutes="90000"), "minutes"),
        (["W-1"], replace(STAIN, kind="toast"), "toast"),
        (["W-9"], STAIN, "W-9"),
    ],
)
def test_what_is_no_tray_is_one_line_and_nothing_is_stored(
    book: Book, cases: list[str], wish: TrayWish, said: str
) -> None:
    before = book.newest_row()
    with pytest.raises(InputError, match=said):
        put_in(book, cases, wish)
    assert book.newest_row() == before


def test_minutes_come_from_the_programme_and_are_due_by_the_clock(book: Book) -> None:
    listed = (Programme("stain", minutes=24.0), Programme("slow"))
    assert [tray_firing.minutes_of(listed, name) for name in ("stain", "slow", None)] == ["24", "", ""]
    put_in(book, ["W-1"], replace(STAIN, minutes="90,5"))
    (one,) = trays(book)
    assert one.due is not None
    assert (one.due - tray_firing.moment(one.tray.put_in_at)).total_seconds() == 90.5 * 60


def test_an_erased_case_is_named_by_no_tray(book: Book, tmp_path: Path) -> None:
    taken_out(book, put_in(book, ["W-1", "W-2"], STAIN).tray)
    erase_case(book, "W-1", why="asked by the clinic", sure=True)
    assert b"W-1" not in (tmp_path / "lab.db").read_bytes()
    found = newest_out(book)
    assert found is not None
    assert "W-2" in found.tray.cases
    assert book.verify().faults == ()


def test_a_step_of_another_case_says_nothing_of_a_tray(book: Book) -> None:
    book.add_steps([StepDone("W-2", "polished", "2026-03-01T09:00:00Z")])
    put_in(book, ["W-1"], STAIN)
    assert rows(book, STAIN)["W-2"].why is None
