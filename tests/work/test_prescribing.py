"""Guides, trial pieces as targets, firing programmes."""

import pytest

from stainbook.apparatus import Programme
from stainbook.book import open_book
from stainbook.errors import InputError
from stainbook.files import read_programmes, write_programmes
from stainbook.records import Case, CaseZone, Reading, TabRef, Target, Viewing
from stainbook.work.case.library import Library
from stainbook.work.case.trial import approve, trial
from stainbook.work.case.zones import zone_colours
from stainbook.work.firing.firing_programmes import load_programmes
from stainbook.work.reading.guides import load_guide, shown
from stainbook.work.reading.take_in import take_in
from tests.files.helpers import refused, saved

D65 = Viewing("D65", 2)
GUIDE = "guide,tab,zone,tissue\nhouse,oat-pale,cervical,tooth\nhouse,oat-pale,middle,tooth\n"
READINGS = "sample,L,a,b,illuminant,observer\nhouse/oat-pale/cervical,70,2,18,D65,2\nother,50,1,1,D65,2\n"


@pytest.fixture
def book(tmp_path):
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as book:
        yield book


# ---------------------------------------------------------------- guide


def test_a_guide_and_its_readings(book, tmp_path):
    found = load_guide(book, saved(tmp_path, GUIDE, "guide.csv"), saved(tmp_path, READINGS))
    cervical, middle = found.zones
    assert (cervical.L, cervical.illuminant, cervical.observer) == (70.0, "D65", 2)
    assert (middle.L, found.warnings) == (
        None,
        ["no reading yet of house/oat-pale/middle"],
    )
    assert book.find_reading("other") is None
    assert shown(book).zones == found.zones


def test_readings_of_another_guide_are_refused_and_nothing_is_stored(book, tmp_path):
    readings = saved(tmp_path, READINGS.replace("house/oat-pale", "house/oat-9"))
    with pytest.raises(InputError, match="house/oat-pale/cervical"):
        load_guide(book, saved(tmp_path, GUIDE, "guide.csv"), readings)
    assert book.guide() == ()


# ---------------------------------------------------------------- trial pieces


def read_trial(book):
    rows = ["sample,L,a,b,illuminant,observer,stage,taken_at"]
    rows += ["P-7-11-cervical,70,2,18,D65,2,trial,2026-01-10", "P-7-11-middle,72,1,15,D65,2,trial,2026-01-10"]
    rows += ["P-7-11-cervical,69,3,21,D65,2,returned,2026-03-01", "P-71-11-cervical,10,3,21,D65,2,trial,2026-03-01"]
    take_in(book, "\n".join(rows))


def test_wear_is_the_difference_to_the_day_it_left(book):
    read_trial(book)
    cervical, middle = trial(book, "P-7").zones
    assert (cervical.tooth, cervical.readings, cervical.left, cervical.worn) == (11, 2, "2026-01-10", "2026-03-01")
    assert cervical.dL < 0 < cervical.dC
    assert (cervical.grade, middle.dE00) == ("cannot tell", None)


@pytest.mark.parametrize(("choice", "lightness"), [("left", 70.0), ("worn", 69.0)])
def test_what_was_approved_is_the_target_of_the_next_case(book, choice, lightness):
    read_trial(book)
    found = approve(book, "P-7", choice, by="clinic")
    assert found.targets == ["trial/P-7-11/cervical", "trial/P-7-11/middle"]
    reading = book.find_reading("trial/P-7-11/cervical")
    assert reading.lab[0] == lightness
    assert reading.notes.startswith(f"approved by clinic, {choice}: P-7-11-cervical of 2026-")
    target = Target(TabRef("trial", "P-7-11"))
    case = Case("W-9", (CaseZone(11, "cervical", "tooth", target=target),))
    (zone,) = zone_colours(case, Library(book))
    assert zone.target.lab[0] == lightness


def test_the_last_approval_holds(book, monkeypatch):
    read_trial(book)
    approve(book, "P-7", "worn", by="clinic")
    approve(book, "P-7", "left", by="clinic")
    assert book.find_reading("trial/P-7-11/cervical").lab[0] == 70.0


@pytest.mark.parametrize(("case", "choice", "by"), [("P-8", "left", "x"), ("P-7", "best", "x"), ("P-7", "left", " ")])
def test_approvals_of_nothing_or_by_nobody_are_refused(book, case, choice, by):
    read_trial(book)
    with pytest.raises(InputError):
        approve(book, case, choice, by=by)
    assert book.guide() == ()


# ---------------------------------------------------------------- programmes

PROGRAMMES = """- programme: glaze-770
  furnace: left
  drying_min: 6
  start_c: 450
  rate_c_per_min: 45
  vacuum: from 550 to 769
  final_c: 770
  hold_min: 1
  cooling: closed to 500
  minutes: 24
  source_sheet: glaze sheet, revision 3
- {programme: 12:30}
"""


def test_programmes_are_kept_as_entered_and_nothing_is_filled_in(book, tmp_path):
    found = load_programmes(book, saved(tmp_path, PROGRAMMES, "p.yaml"))
    first, second = found.programmes
    assert (first.final_c, first.vacuum, first.minutes) == (770.0, "from 550 to 769", 24.0)
    assert second.model_dump(exclude_none=True) == {"programme": "12:30"}
    assert found.warnings == ["12:30: no source_sheet, the maker's sheet that it was taken from"]


def test_programmes_written_read_back(tmp_path):
    programmes = read_programmes(saved(tmp_path, PROGRAMMES, "p.yaml")).records
    write_programmes(tmp_path / "q.yaml", programmes)
    assert read_programmes(tmp_path / "q.yaml").records == programmes
    assert programmes[1] == Programme("12:30")


@pytest.mark.parametrize(
    ("old", "new", "parts"),
    [
        ("770\n  hold", "7700\n  hold", ("row 7", "final_c", "from 100 to 1700")),
        ("start_c: 450", "start_c: 800", ("start_c", "800", "at most final_c")),
        ("drying_min: 6", "drying_min: six", ("drying_min", "'six'")),
        ("hold_min", "hold_mn", ("hold_mn", "did you mean hold_min?")),
        ("{programme: 12:30}", "{programme: glaze-770}", ("a second time",)),
        ("{programme: 12:30}", "{furnace: left}", ("no programme",)),
    ],
)
def test_malformed_programmes_are_refused(tmp_path, old, new, parts):
    assert old in PROGRAMMES
    refused(read_programmes, saved(tmp_path, PROGRAMMES.replace(old, new), "p.yaml"), *parts)


def test_a_reading_of_a_trial_piece_keeps_what_it_was(book):
    read_trial(book)
    approve(book, "P-7", "left", by="lab")
    assert book.find_reading("P-7-11-cervical", "trial") == Reading(
        "P-7-11-cervical", lab=(70.0, 2.0, 18.0), viewing=D65, stage="trial", taken_at="2026-01-10",
        source=book.find_reading("P-7-11-cervical", "trial").source,
    )  # fmt: skip
