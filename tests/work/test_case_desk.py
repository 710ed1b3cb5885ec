"""A case made, read and fired in the app, from an empty book on."""

from dataclasses import replace

import pytest

from stainbook.book import open_book
from stainbook.errors import InputError
from stainbook.records import Case, CaseZone, TabRef, Target
from stainbook.work.app.demo import make_demo_book, make_demo_folder
from stainbook.work.app.waiting import Board
from stainbook.work.case.case_gaps import case_gaps
from stainbook.work.case.case_list import case_list
from stainbook.work.case.current_case import known_case
from stainbook.work.case.new_case import NewCase, TypedTarget, make_case, teeth_of
from stainbook.work.case.typed_readings import BY_NAME, BY_ORDER, Given, order_of, preview, rows_read, store
from stainbook.work.firing.results import FiringResult, ZoneResult, record_result, unknown_stains
from tests.first_day import EIGHT
from tests.work.opened import opened

LIGHT = {"illuminant": "D65", "observer": 2}
TARGETS = {"tooth": TypedTarget("72 1,5 17", **LIGHT), "gingiva": TypedTarget("52 21 14", **LIGHT)}


@pytest.fixture
def book(tmp_path):
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as found:
        yield found


@pytest.fixture
def case(book):
    return make_case(book, NewCase("W-1", "15-25", ("attached", "papilla"), TARGETS, "zirconia", "blasted"))


def given(text, **more):
    return Given(text, **LIGHT, **more)


@pytest.mark.parametrize(
    ("text", "teeth"),
    [
        ("13-23", (13, 12, 11, 21, 22, 23)),
        ("23 – 13", (13, 12, 11, 21, 22, 23)),
        ("11, 21;36", (11, 21, 36)),
        ("42-31", (42, 41, 31)),
    ],
)
def test_teeth_run_along_their_row(text, teeth):
    assert teeth_of(text) == teeth


@pytest.mark.parametrize("text", ["", "19", "11-31", "all"])
def test_what_is_no_tooth_is_refused(text):
    with pytest.raises(InputError, match="ISO 3950"):
        teeth_of(text)


def test_a_new_case_asks_for_eight_readings(book, case):
    assert [place.sample for place in order_of(book, case)] == [
        "W-1-15-middle", "W-1-13-cervical", "W-1-13-middle", "W-1-11-cervical", "W-1-11-middle", "W-1-11-incisal",
        "W-1-11-attached", "W-1-11-papilla",
    ]  # fmt: skip
    assert len(known_case(book, case).case.zones) == 10 * 5 - 1  # one papilla lies between the front teeth


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"code": "../x"}, "letters"),
        ({"code": "W-1"}, "already"),
        ({"targets": {"tooth": TypedTarget("72 1")}}, "teeth"),
    ],
)
def test_what_makes_no_case_stores_none(book, case, change, said):
    with pytest.raises(InputError, match=said):
        make_case(book, NewCase(**({"code": "W-2", "teeth": "11"} | change)))
    assert case_list(book).newest() == [case]


def test_rows_go_to_zones_by_order_and_names_by_name(book, case):
    by_order = preview(book, case, given(EIGHT))
    assert (by_order.by, len(by_order.rows), by_order.missing) == (BY_ORDER, 8, ())
    assert by_order.rows[1].colour.L == 72.0
    named = preview(book, case, given("W-1-11-middle 71 1 15\nother 60 0 0"))
    assert (named.by, named.left_out, len(named.missing)) == (BY_NAME, ("other",), 7)
    some = preview(book, case, given("71 1 15", order=("W-1-11-incisal",)))
    assert [row.place.zone for row in some.rows] == ["incisal"]


def test_a_dropped_file_is_named_as_it_was_called(book, case):
    file = {"name": "hand.csv", "data": b"sample,L,a,b\nW-1-11-middle,x,1,15\n"}
    with pytest.raises(InputError, match=r"^hand\.csv: row 2"):
        preview(book, case, given("", **file))


def test_the_newest_typed_reading_holds_even_if_it_was_read_before(book, case):
    for L in ("71", "65", "71"):
        assert store(book, case, given(f"W-1-11-middle {L} 1 15")) == 1
    assert book.find_reading("W-1-11-middle").lab == (71.0, 1.0, 15.0)


def test_the_list_says_what_each_case_waits_for(book, case):
    assert (Board().standing(book, [case])[0].job, Board().standing(book, [case])[0].waiting) == ("read", 49)
    store(book, case, given(EIGHT))
    found = Board().standing(book, [case])[0]
    assert (found.job, found.worst.zone, found.state.word) == ("step", "middle", "out of tolerance")
    bare = make_case(book, NewCase("W-2", "11"))
    assert Board().standing(book, [bare])[0].job == "target"
    lost = opened(book, Case("W-3", (CaseZone(11, "middle", "tooth", target=Target(TabRef("house", "gone"))),)))
    assert "house/gone" in Board().standing(book, [lost])[0].broken


def test_a_recorded_firing_moves_the_case_on(book, case):
    store(book, case, given(EIGHT))
    zones = [ZoneResult(11, "middle", "2 × 1 part husk + 7 parts clear", "71,6 1,4 16,8")]
    assert unknown_stains(book, zones) == ["husk"]
    result = record_result(book, case, FiringResult(zones, "bench-1", **LIGHT, new_stains=["husk"]))
    (one,) = result.outcomes
    assert one.accepted is True
    assert one.got.L == 71.6
    assert unknown_stains(book, zones) == []
    kept = known_case(book, case).case
    assert kept.stage == "stained"
    assert {zone.key: zone.fired for zone in kept.zones}[11, "middle"] == 1
    assert book.find_reading("W-1-11-middle").lab == (71.6, 1.4, 16.8)
    (outcome,) = book.outcomes()
    assert outcome.before.lab == (71.8, 0.1, 9.9)


def test_nothing_is_stored_of_a_firing_that_cannot_be_read(book, case):
    zones = [ZoneResult(11, "middle", "husk", "71,6")]
    with pytest.raises(InputError, match=r"11 middle, after the firing: found 71,6, expected L"):
        record_result(book, case, FiringResult(zones, new_stains=["husk"], **LIGHT))
    assert (book.outcomes(), book.readings()) == ((), ())


def test_a_case_whose_file_names_its_readings_follows_the_book_from_then_on(tmp_path):
    folder = make_demo_folder(tmp_path)
    path = folder / "W-1051.yaml"
    was = path.read_text(encoding="utf-8")
    with open_book(make_demo_book(tmp_path)) as book:
        before = Board().standing(book, ["W-1051"])[0]
        place = order_of(book, "W-1051")[0]
        store(book, "W-1051", Given(f"{place.sample} 60 5 25", illuminant="D65", observer=10))
        after = Board().standing(book, ["W-1051"])[0]
        by_file = case_gaps(book, path).shown.zones
    assert after.zones == before.zones
    assert after.worst != before.worst
    assert (after.worst.tooth, after.worst.zone) == (place.tooth, place.zone)
    assert after.worst not in by_file  # a file is told by the file alone
    assert path.read_text(encoding="utf-8") == was


def test_rows_are_given_to_zones_by_hand(book, case):
    odd = "probe A;70,6;2,1;17,8\nprobe B;72;1,4;15,1\nprobe C;1;1;1\n"
    assert [one.name for one in rows_read(book, given(odd))] == ["probe A", "probe B", "probe C"]
    bare = replace(given("70,6 2,1 17,8\n72 1,4 15,1"), hand=("W-1-11-middle", "W-1-13-middle"))
    assert [one.name for one in rows_read(book, bare)] == ["", ""]
    assert [row.place.sample for row in preview(book, case, bare).rows] == ["W-1-11-middle", "W-1-13-middle"]
    some = replace(given(odd), hand=("W-1-13-middle", "W-1-11-middle", ""))
    assert (preview(book, case, some).by, store(book, case, some)) == ("hand", 2)
    assert book.find_reading("W-1-13-middle").lab == (70.6, 2.1, 17.8)
    twice = replace(some, hand=("W-1-11-middle", "W-1-11-middle", ""))
    with pytest.raises(InputError, match="two rows were given to W-1-11-middle"):
        preview(book, case, twice)
