"""A case changed after it was made: targets, effects, zones, settings; undone as a revision, but for facts."""

import os
from dataclasses import replace

import pytest

from stainbook.book import Transaction, open_book
from stainbook.errors import BookError, InputError, UnknownNameError
from stainbook.kept import Firing
from stainbook.records import GuideTab, LabRef, Limits, Reading, SampleRef, Stain, TabRef, Viewing
from stainbook.work.case.case_change import change_case, undo, undoable
from stainbook.work.case.case_edits import (
    Aim,
    CaseSettings,
    aimed,
    drawn,
    settings_of_case,
    undrawn,
    with_settings,
    with_zones,
    without_zones,
)
from stainbook.work.case.current_case import known_case
from stainbook.work.case.new_case import NewCase, make_case
from stainbook.work.case.open_case import write_today
from stainbook.work.case.way import did
from stainbook.work.reading.viewing_conditions import Asked

NECKS = {(11, "cervical"), (21, "cervical")}
D65 = Asked("D65", 10)


@pytest.fixture
def book(tmp_path):
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as found:
        yield found


@pytest.fixture
def code(book):
    made = make_case(book, NewCase("W-1", "11-21", few=False, material="zirconia", stage="blasted"))
    book.add_guide(
        [GuideTab("house", "oat-mid", "cervical", "tooth"), GuideTab("trial", "T-7-11", "cervical", "tooth")]
    )
    for sample in ("house/oat-mid/cervical", "trial/T-7-11/cervical", "W-1-patient-11-cervical", "neck-b"):
        book.add_readings([Reading(sample, lab=(70.0, 2.0, 18.0), viewing=Viewing())])
    return made


def aim(book, code, keys, wanted):
    return change_case(book, code, lambda case: aimed(case, keys, wanted, book, D65))


def target(case, key=(11, "cervical")):
    return next(zone.target for zone in case.zones if zone.key == key)


def test_one_tab_for_several_zones_with_a_shift_typed_with_commas(book, code):
    found = target(aim(book, code, NECKS, Aim("tab", "house/oat-mid", "1,5", "-2")), (21, "cervical"))
    assert found.colour == TabRef("house", "oat-mid")
    assert found.shift == (("L", 1.5), ("C", -2.0))
    assert target(known_case(book, code).case, (21, "cervical")) == found  # of the book too


@pytest.mark.parametrize(
    ("wanted", "colour"),
    [
        (Aim("lab", "70,5 2 18"), LabRef((70.5, 2.0, 18.0), Viewing("D65", 10))),
        (Aim("reading", "neck-b"), SampleRef("neck-b")),
        (Aim("photo"), SampleRef("W-1-patient-11-cervical")),
        (Aim("trial", "T-7"), TabRef("trial", "T-7-11")),
    ],
)
def test_other_targets(book, code, wanted, colour):
    assert target(aim(book, code, {(11, "cervical")}, wanted)).colour == colour


@pytest.mark.parametrize(
    ("wanted", "keys", "said"),
    [
        (Aim("tab", "house/oat-mid"), {(11, "middle")}, "has no middle"),
        (Aim("reading", "nek-b"), NECKS, "neck-b"),
        (Aim("photo"), NECKS, "21-cervical"),
        (Aim("lab", "70,5 2"), NECKS, "expected L"),
        (Aim("tab", "house/oat-mid", value="much"), NECKS, "expected a number"),
        (Aim("none"), set(), "choose them on the arch"),
    ],
)
def test_a_target_that_is_not_there_changes_nothing(book, code, wanted, keys, said):
    before = book.last_change()
    with pytest.raises((InputError, UnknownNameError), match=said):
        aim(book, code, keys, wanted)
    assert book.last_change() == before


def test_effects_are_listed_and_taken_off_again(book, code):
    pot = "1 part flour + 3 parts clear"
    with book.transaction() as step:
        step.add_stains([Stain("flour")])
    case = change_case(book, code, lambda case: drawn(case, [11, 21], "Halo", book, "incisal edge", pot, "thin"))
    assert [(one.tooth, one.effect, one.place) for one in case.effects] == [
        (11, "halo", "incisal edge"),
        (21, "halo", "incisal edge"),
    ]
    assert case.effects[0].pot.as_dict() == {"flour": 0.25}
    fewer = change_case(book, code, lambda case: undrawn(case, case.effects[0]))
    assert [one.tooth for one in fewer.effects] == [21]
    with pytest.raises(InputError, match="not on the list any more"):
        change_case(book, code, lambda case: undrawn(case, replace(case.effects[0], tooth=11)))
    with pytest.raises(InputError, match="no tooth or no effect"):
        drawn(case, [], "halo", book)


def test_settings_are_read_as_they_are_written(book, code):
    said = ("zirconia", "sintered", "polish", "bench-2", "glaze-770", None, "husk: 24-117\nteasel: 23-9")
    told = CaseSettings(*said, 3, 2, 4, 4, "1/8,1/4, 0,5; 100 %", ("husk",))
    case = change_case(book, code, lambda case: with_settings(case, told))
    assert case.limits == Limits(3, 2, 4, 4, (0.125, 0.25, 0.5, 1.0), ("husk",))
    assert case.lots == (("husk", "24-117"), ("teasel", "23-9"))
    assert with_settings(case, settings_of_case(case)) == case  # nothing is lost in the form
    for odd in (CaseSettings(lots="husk"), CaseSettings(strengths="1/0,5"), CaseSettings(strengths="some")):
        with pytest.raises(InputError, match="expected"):
            with_settings(case, odd)


def test_zones_come_and_go(book, code):
    case = change_case(book, code, lambda case: with_zones(case, [12], ["cervical", "attached"]))
    assert [zone.tissue for zone in case.zones if zone.tooth == 12] == ["tooth", "gingiva"]
    case = change_case(book, code, lambda case: without_zones(case, {(12, "cervical"), (12, "attached")}))
    assert 12 not in {zone.tooth for zone in case.zones}
    with pytest.raises(InputError, match="not all"):
        without_zones(case, {zone.key for zone in case.zones})


def test_a_book_that_cannot_be_written_leaves_the_case_as_it_was(book, code, monkeypatch):
    aim(book, code, NECKS, Aim("lab", "70 2 18"))
    was, stored = known_case(book, code).case, Transaction.add_cases

    def refuse(self, cases):
        cases = list(cases)
        if cases[0].material == "lithium disilicate":
            raise BookError("the disk is full")
        return stored(self, cases)

    monkeypatch.setattr(Transaction, "add_cases", refuse)
    with pytest.raises(BookError, match="full"):
        change_case(book, code, lambda case: with_settings(case, CaseSettings("lithium disilicate", "blasted")))
    assert known_case(book, code).case == was


def test_a_file_is_whole_or_as_it_was(book, code, tmp_path, monkeypatch):
    path, link = tmp_path / "W-1.yaml", tmp_path / "there.yaml"
    write_today(book, code, path)
    path.chmod(0o640)
    link.symlink_to(path)
    was = path.read_bytes()
    aim(book, code, NECKS, Aim("lab", "70 2 18"))
    assert path.read_bytes() == was  # a change writes no file

    def full(part, place):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(InputError, match="cannot be written"):
        write_today(book, code, link)
    assert path.read_bytes() == was
    monkeypatch.undo()
    write_today(book, code, link)
    assert link.is_symlink()
    assert path.read_bytes() != was
    assert path.stat().st_mode & 0o777 == 0o640
    assert not list(path.parent.glob("*.part"))


def test_a_stage_is_set_until_something_happened_to_the_piece(book, code):
    as_sintered = CaseSettings("zirconia", "sintered")
    assert change_case(book, code, lambda case: with_settings(case, as_sintered)).stage == "sintered"
    did(book, code, "polished")
    before = book.last_change()
    with pytest.raises(InputError, match=r"is sintered by what happened to it \(polished\), expected the next step"):
        change_case(book, code, lambda case: with_settings(case, replace(as_sintered, stage="blasted")))
    assert book.last_change() == before


def test_undo_names_what_it_undoes_and_goes_on_back_to_the_last_fact(book, code):
    assert undoable(book, code) is None
    aim(book, code, NECKS, Aim("lab", "70 2 18"))
    change_case(book, code, lambda case: with_settings(case, CaseSettings("lithium disilicate", "blasted")))
    assert undo(book, code).what == "material zirconia → lithium disilicate"
    assert undo(book, code).what == "target of 11 cervical, 21 cervical"
    assert undoable(book, code) is None
    assert target(known_case(book, code).case) is None
    assert len(book.entered("case", "W-1")) == 5  # every one of them is kept
    book.add_firings([Firing(code, "2026-03-02T10:00:00Z", kind="stain")])
    assert undoable(book, code) is None  # a firing is no setting
    aim(book, code, NECKS, Aim("lab", "70 2 18"))
    undo(book, code)
    assert known_case(book, code).state.firings == 1
