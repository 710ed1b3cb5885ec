"""Witness discs without a browser: told with the sintering, read first, and what the piece is expected to be then."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from streamlit.testing.v1 import AppTest

from stainbook.faces.firing_types import DiscRun
from stainbook.faces.reading_types import Light
from stainbook.faces.stain_types import NewStain
from stainbook.pages.lab import discs_texts as words
from stainbook.pages.shell import case_source
from stainbook.pages.shell.page_list import page_file
from stainbook.records import Reading, Viewing
from tests.pages.driving import markup, press

CASE = "W-1063"  # of the demonstration lab, unsintered


def drawn():
    page = AppTest.from_file(str(page_file("discs")), default_timeout=60)
    page.query_params["case"] = case_source.lab().cases.listed().ids[CASE]
    page.run()
    assert not page.exception
    return page


def test_discs_are_read_first_and_move_what_is_expected(own_demo):
    page = drawn()
    page.text_input(key=f"disc mix {CASE}").set_value("2 coats of bracken undiluted").run()
    press(page, words.SINTERED)
    case = case_source.lab().case(CASE)
    assert case.way.now().stage == "sintered"
    bare, coloured = case.firing.discs().unread
    plain = case_source.case(CASE).desk.gaps().advised.zones[0].standing
    kept = page.session_state["kept"]
    kept[f"typed discs {CASE}"] = {bare: "70,1 0,4 9,2"}
    page.session_state["kept"] = kept
    page.run()
    assert next(one for one in page.button if one.label == words.SAVE).disabled  # both are wanted
    kept[f"typed discs {CASE}"] = {bare: "74,8 0,3 9,1", coloured: "71,9 3,1 18,4"}
    page.session_state["kept"] = kept
    page.run()
    press(page, words.SAVE)
    assert "24 middle" in markup(page, "expected")
    told = case_source.case(CASE).desk.gaps().advised.zones[0].standing
    assert (plain.from_, told.from_) == ("expected", "expected")
    assert (told.L, told.a, told.b) != (plain.L, plain.a, plain.b)


def test_a_surface_stain_and_a_sintered_piece_are_refused_in_a_sentence(own_demo):
    page = drawn()
    page.text_input(key=f"disc mix {CASE}").set_value("barley").run()
    press(page, words.SINTERED)
    assert "barley" in page.warning[0].value
    case = case_source.lab().case(CASE)
    assert case.way.now().stage == "green"
    case.way.did("sintered")
    page.run()
    assert "was sintered without discs" in page.info[0].value


def test_a_liquid_that_nothing_showed_is_learnt_from_its_disc(own_demo):
    lab = case_source.lab()
    lab.stains.enter(NewStain("otter", "liquid", "orange"))
    firing = lab.case(CASE).firing
    firing.sinter_with_discs(DiscRun("2 coats of otter undiluted"))
    bare, coloured = firing.discs().unread
    firing.read_discs({bare: "82 0 9", coloured: "72 4 20"}, Light("D65", 10))
    assert next(one.stripes for one in lab.stains.rows() if one.name == "otter") == 1
    assert lab.stains.view("otter").stripes


def expected_with(page, numbers):
    """Sintered with discs that are read so; what the page says of them."""
    page.text_input(key=f"disc mix {CASE}").set_value("2 coats of bracken undiluted").run()
    press(page, words.SINTERED)
    firing = case_source.lab().case(CASE).firing
    firing.read_discs(dict(zip(firing.discs().unread, numbers, strict=True)), Light("D65", 10))
    page.run()
    assert not page.exception
    return [one.value for one in page.warning]


def test_a_disc_that_nothing_explains_is_named_with_the_reason(own_demo):
    said = expected_with(drawn(), ("20 40 -30", "71,9 3,1 18,4"))
    assert "Not used, bare disc: it was read" in said[0]
    assert "ΔE00 from what blank, bottle and run explain" in said[0]


def test_a_disc_that_tells_is_not_named(own_demo):
    assert not any("bare disc" in one for one in expected_with(drawn(), ("74,8 0,3 9,1", "71,9 3,1 18,4")))


def test_a_disc_of_another_bottle_is_named_and_moves_nothing(own_demo):
    lab = case_source.lab()
    page = drawn()
    page.text_input(key=f"disc mix {CASE}").set_value("2 coats of bracken undiluted").run()
    press(page, words.SINTERED)
    book, firing = lab.book, lab.case(CASE).firing
    chip = next(one for one in book.chips() if one.chip == f"{CASE}-disc-coloured")
    layers = tuple(replace(layer, lots=(("bracken", "99-1"),)) for layer in chip.layers)
    book.add_chips([replace(chip, layers=layers)])
    case = book.cases()[CASE]
    book.add_cases([replace(case, lots=(("bracken", "24-9"),))])
    firing.read_discs(
        dict(zip(firing.discs().unread, ("74,8 0,3 9,1", "71,9 3,1 18,4"), strict=True)), Light("D65", 10)
    )
    found = lab.case(CASE).firing.discs().ignored
    assert found == {f"{CASE}-disc-coloured": "it was coloured from bracken: 99-1, the piece from 24-9"}


def test_discs_that_were_read_after_the_piece_are_too_late(own_demo):
    lab = case_source.lab()
    page = drawn()
    page.text_input(key=f"disc mix {CASE}").set_value("2 coats of bracken undiluted").run()
    press(page, words.SINTERED)
    sample = f"{CASE}-24-middle"
    at = (datetime.now(UTC) + timedelta(seconds=2)).isoformat(timespec="seconds").replace("+00:00", "Z")
    late = (datetime.now(UTC) + timedelta(hours=1)).isoformat(timespec="seconds").replace("+00:00", "Z")
    lab.book.add_readings([Reading(sample, lab=(75.0, 0.4, 10.0), viewing=Viewing(), taken_at=at, surface="matt")])
    firing = lab.case(CASE).firing
    discs = [
        Reading(name, lab=(74.8, 0.3, 9.1), viewing=Viewing(), taken_at=late, stage="sintered", surface="matt")
        for name in firing.discs().unread
    ]
    lab.book.add_readings(discs)
    found = lab.case(CASE).firing.discs().ignored
    assert set(found.values()) >= {"it was read after the piece: what was read of the piece itself holds"}
