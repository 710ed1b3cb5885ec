"""The pages without a browser, from an empty book to a recorded firing; what is typed outlives other pages."""

import pytest
from streamlit.testing.v1 import AppTest

from stainbook.book import open_book
from stainbook.lab import Lab
from stainbook.pages.shell import texts
from stainbook.pages.shell import way_texts as words
from stainbook.pages.start import first_texts as first
from stainbook.work.app.shipped import shipped
from tests.first_day import EIGHT
from tests.pages.driving import markup, press, show, type_reading


@pytest.fixture
def lab(monkeypatch, tmp_path):
    """An empty book and an empty folder."""
    url = f"sqlite:///{tmp_path / 'lab.db'}"
    monkeypatch.setenv("STAINBOOK_BOOK", url)
    monkeypatch.setenv("STAINBOOK_FOLDER", str(tmp_path))
    Lab.close_all()
    return url


@pytest.fixture
def app(lab):
    return AppTest.from_file(str(shipped("app.py")), default_timeout=60).run()


def primary(app):
    return [one.label for one in app.button if one.proto.type == "primary"]


def choose(app, key, picked):
    """A tap on a row of a list."""
    app.session_state[key] = {"picked": picked}
    app.session_state["case_page_choices"].here.zone = (int(picked[:2]), picked[3:])
    app.run()
    assert not app.exception


def make_case(app, code="W-1"):
    show(app, "new_case")
    app.text_input(key="new_code").set_value(code)
    app.text_input(key="new_tooth").set_value("72 1,5 17")
    app.text_input(key="new_gingiva").set_value("52 21 14").run()
    return press(app, texts.MAKE_CASE)


def read_eight(app):
    app.text_area(key="typed W-1").set_value(EIGHT).run()
    return press(app, "Store 8 readings")


def test_an_empty_lab_says_what_to_bring_and_has_one_way_on(app):
    assert "What to bring" in app.markdown[0].value
    assert primary(app) == [first.READ_PAIR]
    press(app, texts.MAKE_FIRST_CASE)
    assert primary(app) == [texts.MAKE_CASE]


@pytest.mark.parametrize("page", ["case", "readings", "result"])
def test_pages_of_a_case_lead_to_the_first_one(app, page):
    assert primary(show(app, page)) == [texts.MAKE_FIRST_CASE]


def test_a_form_that_makes_no_case_says_why_and_keeps_what_was_typed(app):
    make_case(app, code="no code!")
    assert "letters, digits" in app.warning[0].value
    show(app, "start")
    show(app, "new_case")
    assert app.text_input(key="new_code").value == "no code!"


def test_readings_are_looked_at_then_stored_then_the_gap_is_shown(app):
    show(make_case(app), "readings")
    assert "15" in markup(app, "order")
    typed = "typed W-1"
    app.text_area(key=typed).set_value(EIGHT).run()
    assert primary(app) == ["Store 8 readings"]
    assert "72.9" in markup(app, "assigned")
    show(app, "start")
    show(app, "readings")
    assert app.text_area(key=typed).value == EIGHT  # nothing is lost on the way
    press(app, "Store 8 readings")
    gaps = markup(app, "gaps")
    assert "7.2 too weak" in gaps
    assert "1.4 too dark" in gaps
    assert primary(app) == [texts.TO_CASE]
    assert app.text_area(key=typed).value == ""


def test_the_light_of_the_targets_is_taken_until_another_is_said(app):
    show(app, "new_case")
    app.selectbox(key="light").select("warm daylight (CIE D50), 2°").run()
    make_case(app)
    del app.session_state["kept"]["light"]  # another day
    show(app, "readings")
    assert app.selectbox(key="light").value == "warm daylight (CIE D50), 2°"


def test_what_cannot_be_read_is_one_sentence(app):
    show(make_case(app), "readings")
    app.text_area(key="typed W-1").set_value("70 1 15\n71 2 16").run()
    assert "2 rows" in app.warning[0].value
    assert primary(app) == []


def test_the_list_names_the_worst_zone_and_opens_the_case(app):
    make_case(app)
    show(app, "start")
    assert "read 49 zones" in markup(app, "waits")
    assert primary(app) == ["Read W-1"]
    show(app, "readings")
    read_eight(app)
    show(app, "start")
    assert "out of tolerance: 12 middle" in markup(app, "waits")
    assert primary(app) == ["Open W-1"]


def test_a_firing_is_recorded(app, lab):
    show(make_case(app), "readings")
    read_eight(app)
    show(app, "result")
    choose(app, "fired W-1", "11 middle")
    app.text_area(key="painted W-1 11 middle 0").set_value("2 × 1 husk + 7 clear").run()
    assert "does not know husk" in app.info[0].value
    app.checkbox[0].check().run()
    press(app, "Painted, into the furnace: 1 zone")
    app.text_input(key="minutes W-1").set_value("42,5").run()
    type_reading(app, "W-1", "11 middle", "71,6 1,4 16,8")
    assert primary(app) == ["Record 1 zone"]
    press(app, "Record 1 zone")
    assert "11 middle" in markup(app, "recorded")
    assert primary(app) == [words.TO_DELIVER]
    with open_book(lab) as book:
        (outcome,) = book.outcomes()
        assert book.firings()[0].minutes == 42.5
    assert outcome.layers[0].coats == 2
    assert outcome.to_target == pytest.approx(0.4, abs=0.1)
