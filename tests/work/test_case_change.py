"""A case changed after it was made: targets, effects, zones, settings; undone as a revision, but for facts."""

import os
from dataclasses import replace

import pytest
from stainbook.work.case.follow import follow_book

from stainbook.book import Transaction, open_book
from stainbook.errors import BookError, InputError, UnknownNameError
from stainbook.files import read_case
from stainbook.records import GuideTab, LabRef, Limits, Reading, SampleRef, TabRef, Viewing
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
from stainbook.work.case.new_case import NewCase, make_case
from stainbook.work.reading.viewing_conditions import Asked

NECKS = {(11, "cervical"), (21, "cervical")}
D65 = Asked("D65", 10)


@pytest.fixture
def url(tmp_path):
    return f"sqlite:///{tmp_path / 'lab.db'}"


@pytest.fixture
def path(url, tmp_path):
    place = make_case(url, tmp_path, NewCase("W-1", "11-21", few=False, material="zirconia", stage="blasted"))
    with open_book(url) as book:
        book.add_guide(
            [GuideTab("house", "oat-2", "cervical", "tooth"), GuideTab("trial", "T-7-11", "cervical", "tooth")]
        )
        for sample in ("house/oat-2/cervical", "trial/T-7-11/cervical", "W-1-patient-11-cervical", "neck-b"):
            book.add_readings([Reading(sample, lab=(70.0, 2.0, 18.0), viewing=Viewing())])
    return place


def aim(url, path, keys, wanted):
    return change_case(url, path, lambda case, book: aimed(case, keys, wanted, book, D65))


def target(case, key=(11, "cervical")):
    return next(zone.target for zone in case.zones if zone.key == key)


def test_one_tab_for_several_zones_with_a_shift_typed_with_commas(url, path):
    found = target(aim(url, path, NECKS, Aim("tab", "house/oat-2", "1,5", "-2")), (21, "cervical"))
    assert found.colour == TabRef("house", "oat-2")
    assert found.shift == (("L", 1.5), ("C", -2.0))
    assert target(read_case(path).records[0]) == found  # in the file too


@pytest.mark.parametrize(
    ("wanted", "colour"),
    [
        (Aim("lab", "70,5 2 18"), LabRef((70.5, 2.0, 18.0), Viewing("D65", 10))),
        (Aim("reading", "neck-b"), SampleRef("neck-b")),
        (Aim("photo"), SampleRef("W-1-patient-11-cervical")),
        (Aim("trial", "T-7"), TabRef("trial", "T-7-11")),
    ],
)
def test_other_targets(url, path, wanted, colour):
    assert target(aim(url, path, {(11, "cervical")}, wanted)).colour == colour


@pytest.mark.parametrize(
    ("wanted", "keys", "said"),
    [
        (Aim("tab", "house/oat-2"), {(11, "middle")}, "has no middle"),
        (Aim("reading", "nek-b"), NECKS, "neck-b"),
        (Aim("photo"), NECKS, "21-cervical"),
        (Aim("lab", "70,5 2"), NECKS, "expected L"),
        (Aim("tab", "house/oat-2", value="much"), NECKS, "expected a number"),
        (Aim("none"), set(), "choose them on the arch"),
    ],
)
def test_a_target_that_is_not_there_changes_nothing(url, path, wanted, keys, said):
    before = path.read_text()
    with pytest.raises((InputError, UnknownNameError), match=said):
        aim(url, path, keys, wanted)
    assert path.read_text() == before


def test_effects_are_listed_and_taken_off_again(url, path):
    case = change_case(
        url, path, lambda case, _: drawn(case, [11, 21], "Halo", "incisal edge", "1 part chalk + 3 parts clear", "thin")
    )
    assert [(one.tooth, one.effect, one.place) for one in case.effects] == [
        (11, "halo", "incisal edge"),
        (21, "halo", "incisal edge"),
    ]
    assert case.effects[0].pot.as_dict() == {"chalk": 0.25}
    assert [one.tooth for one in change_case(url, path, lambda case, _: undrawn(case, case.effects[0])).effects] == [21]
    with pytest.raises(InputError, match="not on the list any more"):
        change_case(url, path, lambda case, _: undrawn(case, replace(case.effects[0], tooth=11)))
    with pytest.raises(InputError, match="no tooth or no effect"):
        drawn(case, [], "halo")


def test_settings_are_read_as_they_are_written(url, path):
    said = ("zirconia", "sintered", "polish", "bench-2", "glaze-770", None, "husk: 24-117\nstraw: 23-9")
    told = CaseSettings(*said, 3, 2, 4, 4, "1/8,1/4, 0,5; 100 %", ("husk",))
    case = change_case(url, path, lambda case, _: with_settings(case, told))
    assert case.limits == Limits(3, 2, 4, 4, (0.125, 0.25, 0.5, 1.0), ("husk",))
    assert case.lots == (("husk", "24-117"), ("straw", "23-9"))
    assert with_settings(case, settings_of_case(case)) == case  # nothing is lost in the form
    for odd in (CaseSettings(lots="husk"), CaseSettings(strengths="1/0,5"), CaseSettings(strengths="some")):
        with pytest.raises(InputError, match="expected"):
            with_settings(case, odd)


def test_zones_come_and_go(url, path):
    case = change_case(url, path, lambda case, _: with_zones(case, [12], ["cervical", "attached"]))
    assert [zone.tissue for zone in case.zones if zone.tooth == 12] == ["tooth", "gingiva"]
    case = change_case(url, path, lambda case, _: without_zones(case, {(12, "cervical"), (12, "attached")}))
    assert 12 not in {zone.tooth for zone in case.zones}
    with pytest.raises(InputError, match="not all"):
        without_zones(case, {zone.key for zone in case.zones})


def test_a_book_that_cannot_be_written_leaves_the_file_as_it_was(url, path, monkeypatch):
    aim(url, path, NECKS, Aim("lab", "70 2 18"))
    was, stored = path.read_bytes(), Transaction.add_cases

    def refuse(self, cases):
        cases = list(cases)
        if cases[0].material == "lithium disilicate":
            raise BookError("the disk is full")
        return stored(self, cases)

    monkeypatch.setattr(Transaction, "add_cases", refuse)
    with pytest.raises(BookError, match="full"):
        change_case(url, path, lambda case, _: with_settings(case, CaseSettings("lithium disilicate", "blasted")))
    assert path.read_bytes() == was


def test_a_file_is_whole_or_as_it_was(url, path, monkeypatch):
    path.chmod(0o640)
    link = path.with_name("there.yaml")
    link.symlink_to(path)
    was = path.read_bytes()

    def full(part, place):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(InputError, match="cannot be written"):
        aim(url, link, NECKS, Aim("lab", "70 2 18"))
    assert path.read_bytes() == was
    monkeypatch.undo()
    aim(url, link, NECKS, Aim("lab", "70 2 18"))
    assert link.is_symlink()
    assert path.read_bytes() != was
    assert path.stat().st_mode & 0o777 == 0o640
    assert not list(path.parent.glob("*.part"))


def test_undo_names_what_it_undoes_and_goes_on_back_to_the_last_fact(url, path):
    assert undoable(url, path) is None
    aim(url, path, NECKS, Aim("lab", "70 2 18"))
    change_case(url, path, lambda case, _: with_settings(case, CaseSettings("lithium disilicate", "blasted")))
    assert undo(url, path).what == "material zirconia → lithium disilicate"
    assert undo(url, path).what == "target of 11 cervical, 21 cervical"
    assert undoable(url, path) is None
    assert target(read_case(path).records[0]) is None
    with open_book(url) as book:
        assert len(book.entered("case", "W-1")) == 5  # every one of them is kept
        follow_book(book, path, fired=frozenset(NECKS))
    assert undoable(url, path) is None  # a firing is no setting
    aim(url, path, NECKS, Aim("lab", "70 2 18"))
    undo(url, path)
    assert {zone.key for zone in read_case(path).records[0].zones if zone.fired} == NECKS
