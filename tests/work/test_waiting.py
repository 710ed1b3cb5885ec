"""What a case waits for, state by state, from its first targets to its delivery."""

import sys
from dataclasses import replace

import pytest

from stainbook.book import open_book
from stainbook.errors import InputError
from stainbook.kept import Painted, PaintedZone, Settings
from stainbook.records import Case, CaseZone, LabRef, Layer, Pot, Reading, Stain, Target, Viewing
from stainbook.work.app import waiting
from stainbook.work.app.waiting import Board
from stainbook.work.case.case_change import change_case
from stainbook.work.case.case_desk import Step
from stainbook.work.case.case_gaps import case_gaps
from stainbook.work.case.case_list import case_list
from stainbook.work.case.chosen import choose
from stainbook.work.case.delivery import accept, deliver, take_return, undo_received
from stainbook.work.case.open_case import now
from stainbook.work.case.way import did
from stainbook.work.firing.results import FiringResult, ZoneResult, paint, record_result
from tests.work.opened import opened

LAYERS = (Layer(Pot.of({"husk": 0.25}), 2),)
BOARD = Board()
GOAL = Target(LabRef((72.0, 1.5, 17.0), Viewing()))


@pytest.fixture(autouse=True)
def board(monkeypatch):
    monkeypatch.setattr(sys.modules[__name__], "BOARD", Board())


@pytest.fixture
def book(tmp_path):
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as found:
        yield found


@pytest.fixture
def code(book):
    return opened(book, Case("W-1", (CaseZone(11, "cervical", "tooth"),), "zirconia", "blasted"))


def job(book, code):
    (found,) = BOARD.standing(book, [code])
    (anew,) = Board().standing(book, [code])
    assert found == anew  # what is kept is what would be worked out now
    return found.job, found.waiting


def aimed(book, code):
    change_case(book, code, lambda case: replace(case, zones=tuple(replace(z, target=GOAL) for z in case.zones)))


def read(book, L):
    book.add_readings([Reading("W-1-11-cervical", lab=(L, 1.5, 17.0), viewing=Viewing(), taken_at=now())])


def test_a_piece_that_was_fired_and_not_read_is_read_before_anybody_accepts_it(book, code):
    aimed(book, code)
    read(book, 78.0)
    book.add_stains([Stain("husk")])
    paint(book, Painted("W-1", now(), (PaintedZone(11, "cervical", LAYERS),)))
    record_result(book, code, FiringResult([ZoneResult(11, "cervical", "2 × 1 husk + 3 clear")]))
    assert job(book, code) == ("read", 1)
    with pytest.raises(InputError, match="nothing of it was read since"):
        deliver(book, code)
    read(book, 72.2)
    assert job(book, code) == ("judge", 1)


def test_from_its_targets_to_its_delivery(book, code):
    assert job(book, code) == ("target", 1)
    aimed(book, code)
    assert job(book, code) == ("read", 1)
    read(book, 78.0)
    assert job(book, code) == ("step", 1)
    choose(book, code, {(11, "cervical"): Step("add", LAYERS)})
    assert job(book, code) == ("paint", 1)
    paint(book, Painted("W-1", now(), (PaintedZone(11, "cervical", LAYERS),)))
    assert job(book, code) == ("fire", 1)
    read(book, 72.2)
    assert job(book, code) == ("record", 1)
    paint(book, Painted("W-1", now()))
    assert job(book, code) == ("judge", 1)
    accept(book, code, "lab")
    assert job(book, code) == ("deliver", 1)
    deliver(book, code, as_is="a trial of the look")
    assert job(book, code)[0] == "delivered"
    take_return(book, code, "fit")
    assert job(book, code)[0] == "returned"


def test_a_provisional_is_never_told_to_be_fired(book):
    code = opened(book, Case("W-1", (CaseZone(11, "cervical", "tooth", target=GOAL),), "zirconia", "trial"))
    read(book, 78.0)
    assert job(book, code) == ("provisional", 1)


def test_an_unsintered_piece_that_was_coloured_waits_for_its_sintering(book):
    code = opened(book, Case("W-1", (CaseZone(11, "cervical", "tooth", target=GOAL),), "zirconia", "green"))
    did(book, code, "dried")
    assert job(book, code) == ("sinter", 0)


def test_a_piece_at_the_clinic_waits_to_come_back(book, code):
    aimed(book, code)
    did(book, code, "try-in")
    assert job(book, code) == ("back", 0)


def test_what_left_is_told_from_the_heads_of_the_book(book, code):
    opened(book, Case("W-2", (CaseZone(11, "cervical", "tooth"),), "zirconia", "delivered"))
    assert case_list(book).newest() == ["W-2", "W-1"]
    assert case_list(book).newest(out=False) == ["W-1"]
    assert case_list(book).newest(out=True) == ["W-2"]
    did(book, code, "bonded")
    assert case_list(book).newest(out=False) == ["W-1"]
    assert job(book, code) == ("bonded", 0)
    deliver(book, code)
    assert case_list(book).newest(out=True) == ["W-1", "W-2"]
    undo_received(book, code)
    assert case_list(book).newest(out=False) == ["W-1"]


def test_a_case_is_worked_out_again_only_when_something_concerns_it(book, code, monkeypatch):
    aimed(book, code)
    opened(book, Case("W-2", (CaseZone(11, "cervical", "tooth", target=GOAL),), "zirconia", "blasted"))
    looked = []
    monkeypatch.setattr(waiting, "case_gaps", lambda book, code: (looked.append(code), case_gaps(book, code))[1])

    def look():
        looked.clear()
        BOARD.standing(book, [code, "W-2"])
        return looked

    assert look() == ["W-1", "W-2"]
    assert look() == []
    read(book, 78.0)  # W-1's
    assert look() == ["W-1"]
    book.add_stains([Stain("husk")])
    assert look() == []
    did(book, "W-2", "polished")
    assert look() == ["W-2"]
    book.add_settings(Settings(thresholds=("gum-2020-strict",)))
    assert look() == ["W-1", "W-2"]
