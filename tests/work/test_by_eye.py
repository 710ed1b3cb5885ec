"""Edges of a translucent piece: their number is a hint on every surface until the lab says that it counts."""

from __future__ import annotations

import pytest

from stainbook.book import open_book
from stainbook.faces.plan_words import chances
from stainbook.match import UNWATCHED
from stainbook.records import Case, CaseZone, LabRef, SampleRef, Target, Viewing
from stainbook.words.states import BY_EYE
from stainbook.work.app.waiting import Board
from stainbook.work.case.advise import advise_files
from stainbook.work.case.case_desk import open_desk
from stainbook.work.case.case_plan import plan_file
from stainbook.work.case.chosen import done_next
from stainbook.work.case.views import zone_state
from stainbook.work.lab.settings import keep_edges
from stainbook.work.sheets.case_report import report_of
from stainbook.work.sheets.chosen_sheet import sheet_of
from stainbook.work.sheets.plan_sheet import sheet_content
from stainbook.work.sheets.report_files import result_of
from tests.work.benches import calibrated, reading
from tests.work.opened import opened

HINT = "The eye decides, the number is a hint and not counted: incisal 11."


@pytest.fixture
def book(tmp_path):
    """A glass ceramic crown: one third can be brought there, the edge is far beyond any stain."""
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as found:
        calibrated(found, tmp_path)
        wanted = {"middle": SampleRef("goal"), "incisal": LabRef((40.0, 30.0, -20.0), Viewing())}
        zones = tuple(CaseZone(11, zone, "tooth", target=Target(goal)) for zone, goal in wanted.items())
        opened(found, Case("W-1", zones, "lithium disilicate", "stained", operator="bench-1"))
        found.add_readings([reading("W-1-11-middle"), reading("W-1-11-incisal"), reading("goal", husk=0.5)])
        yield found


def told(book):
    """What counts, by surface."""
    advised = advise_files(book, ["W-1"])
    plan = plan_file(book, "W-1")
    desk = open_desk(book, "W-1", UNWATCHED)
    done = done_next(book, desk)
    report, _ = report_of(book, "W-1")
    return advised, plan, desk, done, report


def test_a_hint_is_counted_on_no_surface(book):
    advised, plan, desk, done, report = told(book)
    (case,) = advised.cases
    assert [zone.counted for zone in case.zones] == [True, False]
    assert case.accept == pytest.approx(case.zones[0].moves[0].accept)
    assert case.accept > 0.5
    assert HINT in advised.warnings
    assert (plan.zones_counted, [zone.counted for zone in plan.zones]) == (1, [True, False])
    assert plan.accept == pytest.approx(plan.zones[0].accept)
    assert not [one for one in plan.holding_back if one.zone == "incisal"]
    assert "Stain cannot" not in chances(plan)
    assert HINT in plan.warnings
    assert HINT in sheet_content(plan).notes
    assert done.chance[0] == pytest.approx(done.moves[11, "middle"].accept)
    sheet = sheet_of(desk, done)
    assert [zone.counted for zone in sheet.zones] == [True, False]
    assert HINT in sheet_content(sheet).notes
    assert zone_state(desk.view.advised.zones[1]).word == BY_EYE.word
    assert sum(report.counts.values()) == 1
    assert [zone.counted for zone in result_of(report, {}, []).zones] == [True, False]
    assert HINT in result_of(report, {}, []).check
    assert Board().standing(book, ["W-1"])[0].off <= {(11, "middle")}


def test_it_counts_everywhere_where_the_lab_says_so(book):
    keep_edges(book, count=True)
    advised, plan, desk, done, report = told(book)
    assert advised.cases[0].accept < 0.05
    assert (plan.zones_counted, plan.accept < 0.05) == (2, True)
    assert [one.zone for one in plan.holding_back][:1] == ["incisal"]
    assert done.chance[0] < 0.05
    assert zone_state(desk.view.advised.zones[1]).word != BY_EYE.word
    assert sum(report.counts.values()) == 2
    assert HINT not in [*advised.warnings, *plan.warnings]
