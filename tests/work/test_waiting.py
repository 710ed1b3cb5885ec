"""What a case waits for, state by state, from its first targets to its delivery."""

import sys
from dataclasses import replace

import pytest
from stainbook.work.case.follow import write_case_file

from stainbook.book import open_book
from stainbook.files import read_case
from stainbook.kept import Choice, Painted, PaintedZone, Settings
from stainbook.records import Case, CaseZone, LabRef, Layer, Pot, Reading, Stain, Target, Viewing
from stainbook.work.app import waiting
from stainbook.work.app.waiting import Board, newest_cases
from stainbook.work.case.case_gaps import case_gaps
from stainbook.work.case.case_views import case_files_in
from stainbook.work.case.delivery import accept, deliver, now, paint, take_return

LAYERS = (Layer(Pot.of({"husk": 0.25}), 2),)
BOARD = Board()
GOAL = Target(LabRef((72.0, 1.5, 17.0), Viewing()))


@pytest.fixture(autouse=True)
def board(monkeypatch):
    monkeypatch.setattr(sys.modules[__name__], "BOARD", Board())


@pytest.fixture
def url(tmp_path):
    return f"sqlite:///{tmp_path / 'lab.db'}"


@pytest.fixture
def path(tmp_path):
    place = tmp_path / "W-1.yaml"
    write_case_file(place, Case("W-1", (CaseZone(11, "cervical", "tooth"),), "zirconia", "blasted"))
    return place


def job(url, path):
    (found,) = BOARD.standing(url, [path])
    (anew,) = Board().standing(url, [path])
    assert found == anew  # what is kept is what would be worked out now
    return found.job, found.waiting


def aimed(path):
    (case,) = read_case(path).records
    write_case_file(path, replace(case, zones=tuple(replace(zone, target=GOAL) for zone in case.zones)))


def read(url, L):
    with open_book(url) as book:
        book.add_readings([Reading("W-1-11-cervical", lab=(L, 1.5, 17.0), viewing=Viewing(), taken_at=now())])


def test_from_its_targets_to_its_delivery(url, path):
    assert job(url, path) == ("target", 1)
    aimed(path)
    assert job(url, path) == ("read", 1)
    read(url, 78.0)
    assert job(url, path) == ("step", 1)
    with open_book(url) as book:
        book.add_choices([Choice("W-1", 11, "cervical", "add", LAYERS)])
    assert job(url, path) == ("paint", 1)
    with open_book(url) as book:
        paint(book, path, Painted("W-1", now(), (PaintedZone(11, "cervical", LAYERS),)))
    assert job(url, path) == ("fire", 1)
    read(url, 72.2)
    assert job(url, path) == ("record", 1)
    with open_book(url) as book:
        paint(book, path, Painted("W-1", now()))
    assert job(url, path) == ("judge", 1)
    with open_book(url) as book:
        accept(book, str(path), "lab")
        assert job(url, path) == ("deliver", 1)
        deliver(book, str(path))
        assert job(url, path)[0] == "delivered"
        take_return(book, str(path), "fit")
    assert job(url, path)[0] == "returned"


def test_a_provisional_is_never_told_to_be_fired(url, path):
    aimed(path)
    read(url, 78.0)
    (case,) = read_case(path).records
    write_case_file(path, replace(case, stage="trial"))
    assert job(url, path) == ("provisional", 1)


def test_what_left_is_told_from_the_heads_of_the_files(tmp_path, path):
    (case,) = read_case(path).records
    write_case_file(tmp_path / "W-2.yaml", replace(case, case="W-2", stage="delivered"))
    (tmp_path / "stains.yaml").write_text("- {name: husk}\n")
    assert [one.stem for one in newest_cases(tmp_path, out=False)] == ["W-1"]
    assert [one.stem for one in newest_cases(tmp_path, out=True)] == ["W-2"]
    assert [one.stem for one in case_files_in(tmp_path)] == ["W-1", "W-2"]
    write_case_file(path, replace(case, stage="bonded"))  # read again, since it was changed
    assert {one.stem for one in newest_cases(tmp_path, out=True)} == {"W-1", "W-2"}


def test_a_case_is_worked_out_again_only_when_something_concerns_it(url, path, monkeypatch, tmp_path):
    aimed(path)
    other = tmp_path / "W-2.yaml"
    (case,) = read_case(path).records
    write_case_file(other, replace(case, case="W-2"))
    looked = []
    monkeypatch.setattr(
        waiting, "case_gaps", lambda book, place: (looked.append(place.stem), case_gaps(book, place))[1]
    )

    def look():
        looked.clear()
        BOARD.standing(url, [path, other])
        return looked

    assert look() == ["W-1", "W-2"]
    assert look() == []
    read(url, 78.0)  # W-1's
    assert look() == ["W-1"]
    with open_book(url) as book:
        book.add_stains([Stain("husk")])
    assert look() == []
    with open_book(url) as book:
        book.add_settings(Settings(thresholds=("gum-2020-strict",)))
    assert look() == ["W-1", "W-2"]
