"""A chance is held back while the control plate of the instrument is out: once, and the same wherever it is told."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from stainbook.book import Book, open_book
from stainbook.match import UNWATCHED
from stainbook.records import Case, CaseZone, LabRef, Reading, Target, Viewing
from stainbook.work.case.advise import advise_files
from stainbook.work.case.case_desk import Step, open_desk
from stainbook.work.case.case_plan import plan_file
from stainbook.work.case.chosen import choose_step, done_next
from stainbook.work.reading.control_chart import chips_out
from stainbook.work.sheets.bench import bench
from stainbook.work.sheets.chosen_sheet import sheet_of
from stainbook.work.sheets.plan_sheet import chances
from tests.work.benches import calibrated, reading
from tests.work.opened import opened

KEY = (11, "cervical")


def weekly(count: int, *, seed: int = 3, off: float = 0.0, last: float | None = None, **more: object) -> list[Reading]:
    """A plate read each week, the newest reading ``off`` in L*; ``last``: L* of one more, well after."""
    noise = np.random.default_rng(seed).normal(0.0, (0.15, 0.05, 0.08), (count, 3))
    levels = [70.0 + noise[i, 0] + off * (i == count - 1) for i in range(count)] + ([last] if last is not None else [])
    return [
        Reading(
            "weekly-plate",
            lab=(level, 1.0 + float(noise[i % count, 1]), 15.0 + float(noise[i % count, 2])),
            viewing=Viewing("D65", 10),
            instrument="bench",
            taken_at=f"2026-{1 + i // 4:02d}-{1 + 7 * (i % 4):02d}T08:00:00Z",
            **more,  # type: ignore[arg-type]
        )
        for i, level in enumerate(levels)
    ]


@pytest.fixture(scope="module")
def taught(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("taught")
    with open_book(f"sqlite:///{folder / 'lab.db'}") as book:
        calibrated(book, folder)
        target = Target(LabRef((77.0, 2.5, 7.5), Viewing("D65", 10)))
        opened(book, Case("W-1042", (CaseZone(*KEY, "tooth", target=target),), "zirconia", "sintered"))
        read = reading("W-1042-11-cervical", taken_at="2026-06-01T09:00:00Z", stage="sintered", instrument="bench")
        book.add_readings([read])
    return folder / "lab.db"


@pytest.fixture
def book(taught: Path, tmp_path: Path) -> Iterator[Book]:
    (tmp_path / "lab.db").write_bytes(taught.read_bytes())
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}", author="bench-1") as found:
        yield found


def test_a_chip_in_control_holds_nothing_back(book: Book) -> None:
    book.add_readings(weekly(16))
    assert chips_out(book) == []
    advised = advise_files(book, ["W-1042"])
    assert not any("control plate" in one for one in advised.warnings)
    assert advised.cases[0].accept is not None


def test_out_it_is_said_once_and_no_chance_is_told(book: Book) -> None:
    book.add_readings(weekly(16, off=2.0))
    (line,) = [one for one in advise_files(book, ["W-1042"]).warnings if "control plate" in one]
    assert line.startswith("chances are held back: the control plate weekly-plate is out since 2026-04-22")
    (case,) = advise_files(book, ["W-1042"]).cases
    assert (case.accept, case.accept_within) == (None, None)
    assert {(move.accept, move.accept_within) for zone in case.zones for move in zone.moves} == {(None, None)}
    assert case.zones[0].moves[0].dE00 >= 0.0
    plan = plan_file(book, "W-1042")
    assert plan.warnings.count(line) == 1
    assert (plan.accept, plan.within_reach, plan.expected_in_tolerance) == (None, None, None)
    assert {zone.accept for zone in plan.zones} == {None}
    assert chances(plan) == "Chances are held back while the control plate is out."
    assert bench(book, "W-1042").warnings.count(line) == 1


def test_the_page_and_its_sheet_tell_none_either(book: Book) -> None:
    book.add_readings(weekly(16, off=2.0))
    desk = open_desk(book, "W-1042", UNWATCHED)
    done = done_next(book, desk)
    assert (done.chance, done.reached) == (None, None)
    assert sum("control plate" in one for one in desk.view.warnings) == 1
    sheet = sheet_of(desk, done)
    assert chances(sheet) == "Chances are held back while the control plate is out."
    choose_step(book, desk, [KEY], Step("leave", ()))
    (chosen,) = book.choices("W-1042").values()
    assert chosen.claim.accept is None


def test_readings_of_before_it_went_out_keep_their_chance(book: Book) -> None:
    book.add_readings(weekly(28, off=2.0))  # the zone was read in June, the chip was in control until July
    assert chips_out(book)
    assert advise_files(book, ["W-1042"]).cases[0].accept is not None


def test_another_instrument_keeps_its_chance(book: Book) -> None:
    book.add_readings([replace(one, instrument="hand") for one in weekly(16, off=2.0)])
    assert advise_files(book, ["W-1042"]).cases[0].accept is not None


def test_set_right_it_holds_nothing_back_though_the_moving_mean_remembers(book: Book) -> None:
    drifting = weekly(20)
    drifting = [replace(one, lab=(one.lab[0] + 0.25 * max(0, i - 13), *one.lab[1:])) for i, one in enumerate(drifting)]
    book.add_readings(drifting)
    assert chips_out(book)
    book.add_readings(weekly(20, last=70.0)[-1:])
    assert chips_out(book) == []


def test_a_plate_that_was_fired_between_its_readings_is_no_control_chip(book: Book) -> None:
    told = weekly(16, off=5.0)
    book.add_readings([*told[:15], replace(told[15], stage="glazed")])
    assert chips_out(book) == []
