"""An apprentice paints with fewer layers and coats, one step weaker, and somebody checks it before the furnace."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from stainbook.book import Book, open_book
from stainbook.errors import InputError, UnknownNameError
from stainbook.kept import Firing, Operator, Painted, Settings
from stainbook.limits import Later, Limits
from stainbook.records import Case, CaseZone, LabRef, SampleRef, Target, Viewing
from stainbook.work.case.advise import advise_files
from stainbook.work.case.case_plan import plan_file
from stainbook.work.firing.record import record_files
from stainbook.work.firing.results import fired_with
from stainbook.work.lab.settings import keep_roles
from stainbook.work.reading.lab_settings import with_apprentice
from stainbook.work.sheets.bench import bench, html_of
from stainbook.work.sheets.case_report import report_of
from stainbook.work.sheets.plan_sheet import sheet_html
from tests.work.benches import calibrated, fired, reading
from tests.work.opened import opened

SAID = "bench-1 paints as an apprentice"
SIGNED = "Painted by bench-1, checked before the furnace by:"


@pytest.fixture(scope="module")
def taught(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("taught")
    with open_book(f"sqlite:///{folder / 'lab.db'}") as book:
        calibrated(book, folder)
        book.add_operators([Operator("bench-1"), Operator("bench-2")])
        book.add_settings(Settings(apprentices=("bench-1",)))
    return folder / "lab.db"


@pytest.fixture
def book(taught: Path, tmp_path: Path) -> Iterator[Book]:
    (tmp_path / "lab.db").write_bytes(taught.read_bytes())
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}", author="bench-2") as found:
        yield found


def painted_by(book: Book, hand: str) -> str:
    """A case of one zone that asks for much husk."""
    book.add_readings([reading(f"{hand}-11-cervical", stage="blasted")])
    aim = Target(LabRef((70.0, 2.0, 22.0), Viewing("D65", 10)))
    zone = CaseZone(11, "cervical", "tooth", now=SampleRef(f"{hand}-11-cervical"), target=aim)
    limits = Limits(layers=2, strengths=(0.5, 1.0))
    return opened(book, Case(hand, (zone,), material="zirconia", stage="blasted", operator=hand, limits=limits))


def test_limits_are_a_layer_and_a_coat_fewer_and_one_step_weaker() -> None:
    later = Later(layers=2, strengths=(0.25, 0.5))
    case = Case("W-1", (), limits=Limits(layers=3, coats=2, strengths=(1.0, 0.25, 0.5), later=later))
    settings = Settings(apprentices=("bench-1",))
    limits = with_apprentice(case, settings, "bench-1").limits
    assert (limits.layers, limits.coats, limits.strengths) == (2, 1, (0.25, 0.5))
    assert limits.later == Later(layers=1, strengths=(0.25,))
    for hand in ("bench-2", None):
        assert with_apprentice(case, settings, hand) == case
    least = Case("W-1", (), limits=Limits(layers=1, coats=1, strengths=(0.5,)))
    assert with_apprentice(least, settings, "bench-1").limits == least.limits


def test_advice_plan_and_sheets_obey_and_say_it(book: Book) -> None:
    for hand, is_one in (("bench-1", True), ("bench-2", False)):
        code = painted_by(book, hand)
        advised, planned = advise_files(book, [code]), plan_file(book, code)
        moves = [move for zone in advised.cases[0].zones for move in zone.moves]
        shares = {share for move in moves for layer in move.layers for share in layer.pot.values()}
        assert moves
        if is_one:
            assert max(shares) <= 0.5
            assert all(len(move.layers) == 1 and move.layers[0].coats == 1 for move in moves if move.layers)
        assert any(line.startswith(SAID) for line in advised.warnings) is is_one
        assert any(line.startswith(SAID) for line in planned.warnings) is is_one
        assert (SIGNED in sheet_html(planned)) is is_one
        assert (SIGNED in html_of(bench(book, code))) is is_one


def test_a_firing_asks_who_checked_it(book: Book, tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"bench-1 paints as an apprentice: say who checked it"):
        record_files(book, [fired(tmp_path)])
    with pytest.raises(InputError, match="say who checked it"):  # who painted it is nobody else
        record_files(book, [fired(tmp_path, extra="checked_by: bench-1\n")])
    assert book.firings() == ()
    record_files(book, [fired(tmp_path, extra="checked_by: bench-2\n")])
    assert book.firings()[0].checked_by == "bench-2"
    report, _ = report_of(book, "W-1042")
    assert report.firings[0].checked_by == "bench-2"


def test_roles_are_of_technicians_and_one_of_two(book: Book) -> None:
    with pytest.raises(UnknownNameError, match="bench-9"):
        keep_roles(book, leads=["bench-9"], lead_sees_all=True, apprentices=[])
    with pytest.raises(InputError, match="expected one of them"):
        keep_roles(book, leads=["bench-1"], lead_sees_all=True, apprentices=["bench-1"])
    keep_roles(book, leads=["bench-2"], lead_sees_all=True, apprentices=["bench-1"])
    assert book.settings().leads == ("bench-2",)


def test_on_a_tray_nobody_is_said_to_have_checked_who_did_not_say_so(book: Book) -> None:
    painted = Painted(painted_by(book, "bench-1"), "2026-03-02T10:00:00Z", (), "bench-1")
    firing = Firing("W-7", "2026-03-02T10:40:00Z", "bench-2")
    assert fired_with(book, firing, painted).firing.checked_by == "nobody"
    assert fired_with(book, replace(firing, checked_by="bench-2"), painted).firing.checked_by == "bench-2"
