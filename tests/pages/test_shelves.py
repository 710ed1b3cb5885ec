"""The pages beside the work: recipes and what was done last time, stains and their stripes."""

import pytest

from stainbook.pages import texts
from tests.pages.driving import markup, press


def test_what_was_done_is_found_by_colour_and_stain(open_page):
    page = open_page("recipes")
    assert "2 parts barley + 1 part copper + 1 part clear" in markup(page, "found_rows")
    page.text_input(key="find_colour").set_value("72,5 1,6 16,8").run()
    assert ">0.3<" in markup(page, "found_rows")
    page.multiselect(key="find_stains").set_value(["peat"]).run()
    assert page.info[0].value == texts.NONE_SO_NEAR
    page.text_input(key="find_colour").set_value("72,5 1,6").run()
    assert "expected L*, a*, b*" in page.warning[0].value


def test_an_outcome_becomes_a_recipe_that_is_approved_and_compared(open_page):
    page = open_page("recipes")
    for name in ("warm neck", "warm neck 2"):
        outcome = next(part for part in markup(page, "found_rows").split('data-key="') if part.startswith("outcome"))
        page.session_state["kept"]["found"] = outcome.split('"')[0]
        page.run()
        page.text_input(key="recipe_name").set_value(name).run()
        press(page, texts.KEEP_RECIPE)
        assert page.subheader[0].value == name
    assert any("used 1 time," in one.value for one in page.markdown)
    press(page, texts.APPROVE)
    assert any(one.value.startswith("approved") for one in page.markdown)
    page.selectbox(key="compare_with").select("warm neck").run()
    assert "approved" in markup(page, "changes")
    assert "tried" in markup(page, "changes")


def test_a_stain_shows_its_coats_and_stripes(open_page):
    page = open_page("stains")
    page.session_state["kept"]["stain"] = "walnut"
    page.run()
    assert page.subheader[0].value == "walnut"
    assert markup(page, "stripes").count('class="table-row"') == 7
    assert len(page.get("vega_lite_chart")) == 1
    assert [one.label for one in page.button] == [texts.NEXT_STRIPE]


def test_a_stain_without_stripes_says_so(open_page):
    page = open_page("stains")
    page.session_state["kept"]["stain"] = "smoke"
    page.run()
    assert page.info[0].value == texts.NO_STRIPES.format(stain="smoke")


@pytest.mark.parametrize(("name", "said"), [("recipes", texts.NOTHING_DONE), ("stains", texts.NO_STAINS)])
def test_an_empty_book_says_what_to_bring(open_page, monkeypatch, tmp_path, name, said):
    monkeypatch.setenv("STAINBOOK_BOOK", f"sqlite:///{tmp_path / 'empty.db'}")
    assert open_page(name).info[0].value == said


def test_an_instrument_and_a_technician_are_set_up_once(open_page, monkeypatch, tmp_path):
    monkeypatch.setenv("STAINBOOK_BOOK", f"sqlite:///{tmp_path / 'empty.db'}")
    page = open_page("settings")
    press(page, texts.SET_UP)
    assert "found no name" in page.warning[0].value
    page.text_input(key="set_name").set_value("hand")
    page.selectbox(key="set_light").select("D65, 2°").run()
    press(page, texts.SET_UP)
    assert '<span role="cell" class="text">D65, 2°</span>' in markup(page, "instruments")
    page.text_input(key="set_person").set_value("bench-1").run()
    press(page, texts.ENTER)
    assert any(one.value == "bench-1" for one in page.markdown)
    page = open_page("recipes")
    assert page.selectbox(key="light").options[0] == "hand (D65, 2°)"
