"""A case made, read and fired in the app, from an empty book on."""

from dataclasses import replace

import pytest

from stainbook.book import open_book
from stainbook.errors import InputError
from stainbook.files import read_case
from stainbook.lab import Lab
from stainbook.work.app.demo import make_demo_book, make_demo_folder
from stainbook.work.app.waiting import Board, newest_cases
from stainbook.work.case.new_case import NewCase, TypedTarget, make_case, teeth_of
from stainbook.work.case.typed_readings import BY_NAME, BY_ORDER, Given, order_of, preview, rows_read, store
from stainbook.work.firing.results import FiringResult, ZoneResult, record_result, unknown_stains
from tests.first_day import EIGHT

LIGHT = {"illuminant": "D65", "observer": 2}
TARGETS = {"tooth": TypedTarget("72 1,5 17", **LIGHT), "gingiva": TypedTarget("52 21 14", **LIGHT)}


@pytest.fixture
def url(tmp_path):
    return f"sqlite:///{tmp_path / 'lab.db'}"


@pytest.fixture
def case(url, tmp_path):
    return make_case(url, tmp_path, NewCase("W-1", "15-25", ("attached", "papilla"), TARGETS, "zirconia", "blasted"))


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


def test_a_new_case_asks_for_eight_readings(url, case):
    assert [place.sample for place in order_of(url, case)] == [
        "W-1-15-middle", "W-1-13-cervical", "W-1-13-middle", "W-1-11-cervical", "W-1-11-middle", "W-1-11-incisal",
        "W-1-11-attached", "W-1-11-papilla",
    ]  # fmt: skip
    assert len(read_case(case).records[0].zones) == 10 * 5 - 1  # one papilla lies between the front teeth


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"code": "../x"}, "letters"),
        ({"code": "W-1"}, "already"),
        ({"targets": {"tooth": TypedTarget("72 1")}}, "teeth"),
    ],
)
def test_what_makes_no_case_leaves_no_file(url, case, tmp_path, change, said):
    with pytest.raises(InputError, match=said):
        make_case(url, tmp_path, NewCase(**({"code": "W-2", "teeth": "11"} | change)))
    assert newest_cases(tmp_path) == [case]


def test_rows_go_to_zones_by_order_and_names_by_name(url, case):
    by_order = preview(url, case, given(EIGHT))
    assert (by_order.by, len(by_order.rows), by_order.missing) == (BY_ORDER, 8, ())
    assert by_order.rows[1].colour.L == 72.0
    named = preview(url, case, given("W-1-11-middle 71 1 15\nother 60 0 0"))
    assert (named.by, named.left_out, len(named.missing)) == (BY_NAME, ("other",), 7)
    some = preview(url, case, given("71 1 15", order=("W-1-11-incisal",)))
    assert [row.place.zone for row in some.rows] == ["incisal"]


def test_a_dropped_file_is_named_as_it_was_called(url, case):
    file = {"name": "hand.csv", "data": b"sample,L,a,b\nW-1-11-middle,x,1,15\n"}
    with pytest.raises(InputError, match=r"^hand\.csv: row 2"):
        preview(url, case, given("", **file))


def test_the_newest_typed_reading_holds_even_if_it_was_read_before(url, case):
    for L in ("71", "65", "71"):
        assert store(url, case, given(f"W-1-11-middle {L} 1 15")) == 1
    with open_book(url) as book:
        assert book.find_reading("W-1-11-middle").lab == (71.0, 1.0, 15.0)


def test_the_list_says_what_each_case_waits_for(url, case, tmp_path):
    (found,) = Board().standing(Lab.open(url).book, [case])
    assert (found.job, found.waiting) == ("read", 49)
    store(url, case, given(EIGHT))
    found = Board().standing(Lab.open(url).book, [case])[0]
    assert (found.job, found.worst.zone, found.state.word) == ("step", "middle", "off")
    bare = make_case(url, tmp_path, NewCase("W-2", "11"))
    assert Board().standing(Lab.open(url).book, [bare])[0].job == "target"
    broken = tmp_path / "W-3.yaml"
    broken.write_text("case: W-3\nzones: 1\n", encoding="utf-8")
    assert "W-3.yaml" in Board().standing(Lab.open(url).book, [broken])[0].broken


def test_a_recorded_firing_moves_the_case_on(url, case):
    store(url, case, given(EIGHT))
    zones = [ZoneResult(11, "middle", "2 × 1 part husk + 7 parts clear", "71,6 1,4 16,8")]
    assert unknown_stains(url, zones) == ["husk"]
    result = record_result(url, case, FiringResult(zones, "bench-1", **LIGHT, new_stains=["husk"]))
    (one,) = result.outcomes
    assert one.accepted is True
    assert one.got.L == 71.6
    assert unknown_stains(url, zones) == []
    kept = read_case(case).records[0]
    assert kept.stage == "stained"
    assert {zone.key: zone.fired for zone in kept.zones}[11, "middle"] == 1
    with open_book(url) as book:
        assert book.find_reading("W-1-11-middle").lab == (71.6, 1.4, 16.8)
        (outcome,) = book.outcomes()
        assert outcome.before.lab == (71.8, 0.1, 9.9)


def test_nothing_is_stored_of_a_firing_that_cannot_be_read(url, case):
    zones = [ZoneResult(11, "middle", "husk", "71,6")]
    with pytest.raises(InputError, match=r"11 middle, after the firing: found 71,6, expected L"):
        record_result(url, case, FiringResult(zones, new_stains=["husk"], **LIGHT))
    with open_book(url) as book:
        assert (book.outcomes(), book.readings()) == ((), ())


def test_a_case_whose_file_names_its_readings_follows_the_book_from_then_on(tmp_path):
    url, folder = make_demo_book(tmp_path), make_demo_folder(tmp_path)
    case = folder / "W-1051.yaml"
    was = case.read_text(encoding="utf-8")
    before = Board().standing(Lab.open(url).book, [case])[0]
    place = order_of(url, case)[0]
    store(url, case, Given(f"{place.sample} 60 5 25", illuminant="D65", observer=10))
    assert (folder / "W-1051.yaml.was").read_text(encoding="utf-8") == was
    after = Board().standing(Lab.open(url).book, [case])[0]
    assert after.zones == before.zones
    assert after.worst != before.worst
    assert (after.worst.tooth, after.worst.zone) == (place.tooth, place.zone)


def test_rows_are_given_to_zones_by_hand(url, case):
    odd = "probe A;70,6;2,1;17,8\nprobe B;72;1,4;15,1\nprobe C;1;1;1\n"
    assert [one.name for one in rows_read(url, given(odd))] == ["probe A", "probe B", "probe C"]
    bare = replace(given("70,6 2,1 17,8\n72 1,4 15,1"), hand=("W-1-11-middle", "W-1-13-middle"))
    assert [one.name for one in rows_read(url, bare)] == ["", ""]
    assert [row.place.sample for row in preview(url, case, bare).rows] == ["W-1-11-middle", "W-1-13-middle"]
    some = replace(given(odd), hand=("W-1-13-middle", "W-1-11-middle", ""))
    assert (preview(url, case, some).by, store(url, case, some)) == ("hand", 2)
    with open_book(url) as book:
        assert book.find_reading("W-1-13-middle").lab == (70.6, 2.1, 17.8)
    twice = replace(some, hand=("W-1-11-middle", "W-1-11-middle", ""))
    with pytest.raises(InputError, match="two rows were given to W-1-11-middle"):
        preview(url, case, twice)
