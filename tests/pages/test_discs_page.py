"""Witness discs without a browser: told with the sintering, read first, and what the piece is expected to be then."""

from streamlit.testing.v1 import AppTest

from stainbook.faces.firing_types import DiscRun
from stainbook.faces.reading_types import Light
from stainbook.faces.stain_types import NewStain
from stainbook.pages.lab import discs_texts as words
from stainbook.pages.shell import case_source
from stainbook.pages.shell.page_list import page_file
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
