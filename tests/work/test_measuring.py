"""Sheets, readings taken in by their order, instrument profiles."""

import pytest

from stainbook.apparatus import Instrument
from stainbook.book import open_book
from stainbook.errors import InputError
from stainbook.records import UNKNOWN_VIEWING, Case, CaseZone, Effect, GuideTab, TabRef, Target, Viewing
from stainbook.work.case.measuring_sheet import order_in, save_csv, save_html, sheet_for, sheet_of
from stainbook.work.reading.instruments import Stated, set_up
from stainbook.work.reading.take_in import take_in
from stainbook.work.reading.viewing_conditions import Asked

CASE = Case(
    "W-1",
    (
        CaseZone(11, "cervical", "tooth", target=Target(TabRef("house", "oat-mid"))),
        CaseZone(11, "incisal", "tooth"),
        CaseZone(11, "attached", "gingiva"),
        CaseZone(21, "cervical", "tooth", like=(11, "cervical"), target=Target(TabRef("house", "oat-mid"))),
    ),
    effects=(Effect(11, "mottle"),),
)


@pytest.fixture
def url(tmp_path):
    return f"sqlite:///{tmp_path / 'lab.db'}"


@pytest.fixture
def book(url):
    with open_book(url) as book:
        yield book


def samples(sheet):
    return [row.sample.removeprefix("W-1-") for row in sheet.rows]


def test_mottled_gum_wants_three_readings_and_zones_like_another_none():
    sheet = sheet_of(CASE)
    assert samples(sheet) == ["11-cervical", "11-incisal", "11-attached", "11-attached", "11-attached"]
    assert [row.row for row in sheet.rows] == [1, 2, 3, 4, 5]
    assert sheet.like == ["21 cervical like 11 cervical"]
    assert len(sheet_of(CASE, gum=1).rows) == 3


def test_the_guide_s_tabs_are_read_once_each():
    assert [row.sample for row in sheet_of(CASE, targets=True).rows[5:]] == ["house/oat-mid/cervical"]


def test_zones_smaller_than_the_aperture_and_translucent_edges_are_told():
    notes = [row.note or "" for row in sheet_of(CASE, instrument=Instrument("hand", aperture_mm=3.5)).rows]
    assert ["wider than this zone" in note for note in notes] == [True, True, False, False, False]
    assert "translucent edge" in notes[1]
    assert not any("wider" in (row.note or "") for row in sheet_of(CASE, instrument=Instrument("hand")).rows)


def test_a_sheet_saved_is_the_order_of_what_is_read(tmp_path, url, book):
    sheet = sheet_of(CASE)
    save_csv(sheet, tmp_path / "sheet.csv")
    order = order_in(book, tmp_path / "sheet.csv")
    found = take_in(book, "70,1\t1,2\t15\n71\t0\t9\n50\t20\t13\n51\t20\t13\n52\t20\t13", order=order, stage="Blasted")
    assert found.stored == 3
    gum = book.find_reading("W-1-11-attached")
    assert (gum.repeats, gum.lab, gum.scatter[0], gum.stage) == (3, (51.0, 20.0, 13.0), 1.0, "blasted")
    assert (
        take_in(
            book, "70,1\t1,2\t15\n71\t0\t9\n50\t20\t13\n51\t20\t13\n52\t20\t13", order=order, stage="blasted"
        ).stored
        == 0
    )


def test_a_sheet_that_was_filled_in_is_readings_and_one_sorted_otherwise_is_refused(tmp_path, url, book):
    save_csv(sheet_of(CASE, gum=1), tmp_path / "sheet.csv")
    lines = (tmp_path / "sheet.csv").read_text().splitlines()
    filled = [line.removesuffix(",,,") + f",{70 + i},1,2" if i else line for i, line in enumerate(lines)]
    (tmp_path / "filled.csv").write_text("\n".join(filled))
    found = take_in(book, tmp_path / "filled.csv", Asked("D65", 2))
    assert (found.stored, [w for w in found.warnings if "ignored" in w]) == (3, [])
    (tmp_path / "turned.csv").write_text("\n".join([lines[0], *reversed(lines[1:])]))
    with pytest.raises(InputError, match="row 2, column row"):
        order_in(book, tmp_path / "turned.csv")


def test_a_case_file_is_an_order_too_and_nothing_is_stored_for_it(book, tmp_path):
    case = tmp_path / "case.yaml"
    case.write_text(
        "case: W-1\nzones:\n- {tooth: 11, zone: middle}\n- {tooth: 12, zone: middle, like: {tooth: 11, zone: middle}}\n"
    )
    before = book.last_change()
    assert order_in(book, case) == ("W-1-11-middle",)
    assert book.last_change() == before
    with pytest.raises(InputError, match="unknown instrument 'hand'"):
        sheet_for(book, case, instrument="hand")


def test_the_page_to_print_loads_nothing_and_holds_text_as_text(tmp_path):
    sheet = sheet_of(Case("<script>alert(1)</script>", CASE.zones))
    save_html(sheet, tmp_path / "sheet.html")
    text = (tmp_path / "sheet.html").read_text(encoding="utf-8")
    assert "<script" not in text
    assert not any(word in text for word in ("http:", "https:", "src=", "@import", "url("))
    assert text.count("<tr>") == 1 + len(sheet.rows)


def test_an_instrument_is_set_up_once_and_what_is_not_said_stays(book, url):
    set_up(book, "hand", Stated(illuminant="d65", observer=2, aperture_mm=3.0))
    (one,) = set_up(book, "hand", Stated(geometry="45/0")).instruments
    assert (one.illuminant, one.observer, one.aperture_mm, one.geometry) == ("D65", 2, 3.0, "45/0")
    found = take_in(book, "sample,L,a,b,instrument\nx,70,1,2,hand\ny,70,1,2,", Asked(instruments=book.instruments()))
    assert (book.find_reading("x").viewing, book.find_reading("y").viewing) == (Viewing("D65", 2), UNKNOWN_VIEWING)
    assert sum("own scale" in line for line in found.warnings) == 1


def test_unknown_stays_an_honest_answer(book):
    (one,) = set_up(book, "hand", Stated(observer=2)).instruments
    assert (one.illuminant, one.observer) == ("unknown", None)


@pytest.mark.parametrize(
    ("stated", "message"),
    [
        ({"illuminant": "D99"}, "D99"),
        ({"observer": 5}, "5"),
        ({"specular": "half"}, "excluded or included"),
        ({"aperture_mm": 0.0}, "above 0"),
        ({"aperture_mm": float("nan")}, "above 0"),
    ],
)
def test_what_no_instrument_can_be_is_refused(stated, message):
    with pytest.raises(InputError, match=message):
        Stated(**stated)


def test_an_instrument_that_was_not_set_up_is_told(book):
    with pytest.raises(InputError, match="unknown instrument 'hnd'"):
        Asked(instrument="hnd", instruments=book.instruments())


def test_guide_tabs_come_from_the_book(book, url, tmp_path):
    book.add_guide([GuideTab("house", "oat-mid", "cervical", "tooth")])
    (tmp_path / "case.yaml").write_text("case: W-1\nzones: []\napply: {teeth: [11, 12], guide: house, tab: oat-mid}\n")
    assert order_in(book, tmp_path / "case.yaml") == ("W-1-11-cervical", "W-1-12-cervical")
