"""Steps without a browser: mixes by hand, the plan, the bench sheet, and long work that is shown and stopped."""

import re
import shutil
from threading import Event

import pytest
from streamlit.testing.v1 import AppTest

from stainbook.faces import desk_face
from stainbook.lab import Lab
from stainbook.pages.case import case_texts as words
from stainbook.pages.case.page_choices import HandLayer
from stainbook.pages.shell import case_source, texts
from stainbook.work.app.shipped import shipped
from stainbook.work.case.case_desk import CaseDesk
from stainbook.work.case.case_views import view_gaps
from tests.pages.driving import markup, press, show

CASE = "W-1051"


@pytest.fixture
def desk_lab(demo_book, monkeypatch, tmp_path):
    """The demonstration lab as it is, with a book of its own."""
    book = shutil.copyfile(demo_book.removeprefix("sqlite:///"), tmp_path / "lab.db")
    monkeypatch.setenv("STAINBOOK_BOOK", f"sqlite:///{book}")
    monkeypatch.setenv("STAINBOOK_FOLDER", str(shipped("recipes")))
    monkeypatch.setattr(case_source, "PATIENCE", 120)
    Lab.close_all()


@pytest.fixture
def app(desk_lab):
    """The app with the single front tooth chosen."""
    app = AppTest.from_file(str(shipped("app.py")), default_timeout=120).run()
    app.session_state["case_page_choices"].case = CASE
    return app


def kept_choices():
    return case_source.lab().book.choices(CASE)


def test_a_step_is_changed_by_hand_used_and_taken_back(app):
    show(app, "case")
    choices = app.session_state["case_page_choices"]
    choices.here.zone, choices.here.also = (11, "middle"), [(11, "cervical")]
    app.run()
    assert "11 middle and 1 more" in app.expander[0].label
    press(app, words.CHANGE_THIS)
    mix = choices.here.mix
    assert mix
    first = markup(app, "mix rows")
    assert 'data-key="yours"' in first
    assert 'data-key="best"' in first
    mix[0].coats = 3
    app.run()
    assert markup(app, "mix rows") != first
    assert "11 cervical" in markup(app, "mix zones")
    press(app, words.USE_MIX_FOR.of(2))
    kept = kept_choices()
    assert set(kept) == {(11, "middle"), (11, "cervical")}
    assert kept[11, "middle"].layers[0].coats == 3
    assert 'data-key="chosen"' in markup(app, "steps")
    show(app, "readings")
    show(app, "case")
    assert 'data-key="chosen"' in markup(app, "steps")  # not lost on the way
    press(app, words.BACK_TO_FIRST)
    assert kept_choices() == {}


def test_a_mix_from_nothing_can_have_more_layers(app):
    show(app, "case")
    press(app, words.START_EMPTY)
    choices = app.session_state["case_page_choices"]
    choices.here.mix[0] = HandLayer({"peat": 0.125}, 1)
    app.run()
    press(app, words.ADD_LAYER)
    assert len(choices.here.mix) == 2
    assert any("1 layer at most" in one.value for one in app.caption)
    press(app, words.TAKE_LAYER)
    press(app, words.CLOSE_MIX)
    assert choices.here.mix is None
    assert kept_choices() == {}


def test_a_plan_is_made_taken_over_and_laid_on_the_sheet(app):
    show(app, "plan")
    assert app.markdown[-1].value == words.NO_PLAN_YET
    app.number_input[0].set_value(2).run()
    press(app, words.MAKE_PLAN)
    assert "Expected" not in markup(app, "plan mixes")
    assert markup(app, "plan arch").count("data-key=") == 3
    assert len(app.get("vega_lite_chart")) == 1
    press(app, words.TAKE_OVER)
    assert len(kept_choices()) == 3
    show(app, "case")
    show(app, "plan")
    assert app.number_input[0].value == 2
    assert markup(app, "plan mixes")  # kept over the switch
    show(app, "sheet")
    sheet = markup(app, "bench sheet")
    assert "Mix first" in sheet
    assert ">weigh<" not in sheet
    app.text_input[0].set_value("2,0").run()
    assert ">weigh<" in markup(app, "bench sheet")
    app.text_input[0].set_value("two").run()
    assert "expected grams" in app.warning[0].value
    assert "Mix first" in markup(app, "bench sheet")


def test_a_book_without_stains_has_no_plan_and_a_sheet_of_gaps(app, monkeypatch, tmp_path):
    monkeypatch.setenv("STAINBOOK_BOOK", f"sqlite:///{tmp_path / 'empty.db'}")
    case_source.lab().cases.bring_in([shipped("recipes") / f"{CASE}.yaml"])
    show(app, "plan")
    assert words.NO_STAINS_YET in app.info[0].value
    show(app, "sheet")
    assert "too" in markup(app, "bench sheet")


def test_long_work_shows_how_far_it_is_and_what_was_found_when_it_is_stopped(app, monkeypatch):
    go_on = Event()

    def slow(book, code, watch):
        watch.step("search", 1, 3)
        watch.told = "No worker is alive: this is worked out here."
        while not go_on.wait(0.02):
            watch.go_on()
        return CaseDesk(view_gaps(book, code))

    monkeypatch.setattr(desk_face, "open_desk", slow)
    monkeypatch.setattr(case_source, "PATIENCE", 0.2)
    Lab.close_all()
    show(app, "case")
    assert words.WORKED_OUT in markup(app, "chance")
    assert "1 of 3" in app.get("progress")[0].proto.text
    assert "No worker is alive" in app.caption[0].value
    assert "out of tolerance" in markup(app, "zone")  # the gaps are there meanwhile
    assert words.STEPS_COME in markup(app, "zone")
    assert not any(one.value in (texts.NO_STEP, texts.NO_SPECTRUM) for one in app.markdown)  # not known yet
    press(app, words.STOP)
    case_source.case(CASE).desk.job().wait(10)
    app.run()
    assert app.info[0].value.startswith("Stopped: 0 of 3 zones have their next steps")
    go_on.set()
    press(app, words.GO_ON)
    case_source.case(CASE).desk.job().wait(10)
    app.run()
    assert not any(one.label == words.GO_ON for one in app.button)


def test_the_result_page_waits_for_no_steps_and_offers_nothing_to_paint_before_they_are_known(app, monkeypatch):
    go_on = Event()

    def slow(book, code, watch):
        while not go_on.wait(0.02):
            watch.go_on()
        return open_desk(book, code, watch)

    open_desk = desk_face.open_desk
    monkeypatch.setattr(desk_face, "open_desk", slow)
    monkeypatch.setattr(case_source, "PATIENCE", 0.2)
    Lab.close_all()
    show(app, "result")
    assert app.get("progress")
    offered = re.compile("painted as the sheet says", re.I)
    assert not any(offered.match(one.label) for one in app.button)
    go_on.set()
    case_source.case(CASE).desk.job().wait(120)
    app.run()
    assert any(offered.match(one.label) and not one.disabled for one in app.button)


def test_the_page_has_one_main_thing_to_press(app):
    for name in ("case", "plan", "sheet"):
        show(app, name)
        assert sum(one.proto.type == "primary" for one in app.button) <= 1
        assert not any(texts.FAILED == one.value for one in app.warning)
