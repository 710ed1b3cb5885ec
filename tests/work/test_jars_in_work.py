"""A jar that ran out is in no advice, plan or sheet; of a stain without a jar nothing is mixed anew."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stainbook.apparatus import Jar
from stainbook.book import open_book
from stainbook.kept import StandingMix
from stainbook.match import UNWATCHED
from stainbook.records import Case, CaseZone, Pot, SampleRef, Target
from stainbook.work.case.advise import advise_files
from stainbook.work.case.case_desk import open_desk
from stainbook.work.case.case_plan import plan_file
from stainbook.work.case.chosen import done_next
from stainbook.work.case.current_case import current_case
from stainbook.work.case.problems import AdviceAsked, prepare_case
from stainbook.work.firing.record import record_files
from stainbook.work.lab.jar_stock import keep_jar, not_run_out, run_out, shown
from stainbook.work.sheets.bench import bench
from stainbook.work.sheets.chosen_sheet import sheet_of
from tests.work.benches import calibrated, fired, reading
from tests.work.opened import opened

TOLD = "the jar husk: 24-117 ran out on 2026-03-01; 27-1 is meant"
GONE = "every jar of husk ran out: no step takes it until a new jar is entered"


@pytest.fixture
def book(tmp_path):
    """A case that names its jar of husk and needs husk."""
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as found:
        calibrated(found, tmp_path)
        keep_jar(found, Jar("husk", "24-117", opened_on="2026-01-02"))
        zone = CaseZone(11, "cervical", "tooth", target=Target(SampleRef("goal")))
        opened(found, Case("W-1042", (zone,), "zirconia", "stained", operator="bench-1", lots=(("husk", "24-117"),)))
        found.add_readings([reading("W-1042-11-cervical"), reading("goal", husk=0.5)])
        yield found


def stains_of(advised):
    return {name for zone in advised.cases[0].zones for move in zone.moves for one in move.layers for name in one.pot}


def jar_meant(book):
    return prepare_case(book, "W-1042", AdviceAsked()).hands.lots["husk"][0]


def surfaces(book):
    """The warnings of advice, plan, page, bench sheet and the sheet of chosen steps."""
    desk = open_desk(book, "W-1042", UNWATCHED)
    sheet = sheet_of(desk, done_next(book, desk))
    told = (advise_files(book, ["W-1042"]), plan_file(book, "W-1042"), bench(book, "W-1042"), sheet)
    return [*(one.warnings for one in told), list(desk.view.warnings)]


def test_the_newest_jar_that_is_in_work_is_meant(book):
    assert jar_meant(book) == "24-117"
    keep_jar(book, Jar("husk", "26-1", opened_on="2026-02-01"))
    keep_jar(book, Jar("husk", "27-1", opened_on="2026-03-01"))
    assert jar_meant(book) == "24-117"  # the case names it, and it is there
    run_out(book, "husk", "24-117", on="2026-03-01")
    assert jar_meant(book) == "27-1"
    assert all(TOLD in told for told in surfaces(book))
    assert next(one for one in shown(book).jars if one.lot == "27-1").in_use
    not_run_out(book, "husk", "24-117")
    assert jar_meant(book) == "24-117"
    assert not any(TOLD in told for told in surfaces(book))


def test_what_no_jar_holds_is_in_no_step_and_said(book):
    assert "husk" in stains_of(advise_files(book, ["W-1042"]))
    run_out(book, "husk", "24-117", on="2026-03-01")
    assert "husk" not in stains_of(advise_files(book, ["W-1042"]))
    assert not [pot for pot in plan_file(book, "W-1042").pots if "husk" in pot.pot]
    assert all(GONE in told for told in surfaces(book))
    assert open_desk(book, "W-1042", UNWATCHED).offer.stains == ("teasel",)
    keep_jar(book, Jar("husk", "27-1", opened_on="2026-03-02"))
    assert "husk" in stains_of(advise_files(book, ["W-1042"]))


def test_a_mix_that_stands_ready_is_still_painted(book):
    ready = StandingMix("neck", Pot.of({"husk": 0.25}))
    book.add_settings(replace(book.settings(), mixes=(ready,)))
    run_out(book, "husk", "24-117", on="2026-03-01")
    found = prepare_case(book, "W-1042", AdviceAsked()).bench.pots
    assert [pot for pot in found if "husk" in pot.stains] == [ready.pot]


def test_limits_that_name_only_what_ran_out_leave_nothing_and_say_so(book):
    case = current_case(book, "W-1042").case
    book.add_cases([replace(case, limits=replace(case.limits, stains=("husk",)))])
    run_out(book, "husk", "24-117", on="2026-03-01")
    found = advise_files(book, ["W-1042"])
    assert GONE in found.warnings
    assert not [move for move in found.cases[0].zones[0].moves if move.layers]


def test_a_firing_after_that_day_was_painted_with_the_other_jar(book, tmp_path):
    keep_jar(book, Jar("husk", "27-1", opened_on="2026-03-01"))
    run_out(book, "husk", "24-117", on="2026-03-01")
    record_files(book, [fired(tmp_path, fired_at="2026-03-02T10:40:00Z")])
    assert dict(book.outcomes()[0].lots) == {"husk": "27-1"}


def test_a_firing_of_the_day_itself_keeps_the_jar_of_its_case(book, tmp_path):
    keep_jar(book, Jar("husk", "27-1", opened_on="2026-03-01"))
    run_out(book, "husk", "24-117", on="2026-03-02")
    record_files(book, [fired(tmp_path, fired_at="2026-03-02T10:40:00Z")])
    assert dict(book.outcomes()[0].lots) == {"husk": "24-117"}
