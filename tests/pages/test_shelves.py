"""The pages beside the work: recipes and what was done last time, stains and their stripes."""

import json
from dataclasses import replace

import pytest

from stainbook.book import open_book
from stainbook.lab import Lab
from stainbook.match.factors import Factor
from stainbook.pages.lab import recipes_texts as words
from stainbook.pages.lab import stains_texts as stain_words
from stainbook.pages.lab import stripes_texts as stripe_words
from stainbook.pages.shell import texts
from stainbook.work.app.shipped import shipped
from stainbook.work.lab import stain_views
from stainbook.work.stains.learnt import Known
from tests.pages.driving import markup, press

NECK = "1 coat of (1 part pollen + 1 part saddle + 6 parts clear)"


def choose(page, key):
    page.session_state["kept"]["found"] = key
    page.run()
    assert not page.exception


def test_what_was_done_is_found_by_colour_stain_and_conditions(open_page):
    page = open_page("recipes")
    assert NECK in markup(page, "found_rows")
    page.text_input(key="find_colour").set_value("72,6 2,3 18,7").run()
    first = markup(page, "found_rows").split("data-key=")[1]
    assert "recipe warm neck" in first
    assert ">0.0<" in first
    page.multiselect(key="find_stains").set_value(["moss"]).run()
    assert page.info[0].value == texts.NONE_SO_NEAR
    page.text_input(key="find_colour").set_value("72,5 1,6").run()
    assert r"expected L\*, a\*, b\*" in page.warning[0].value
    page.text_input(key="find_colour").set_value("")
    page.multiselect(key="find_stains").set_value([]).run()
    page.selectbox(key="find_state").select("retired").run()
    assert markup(page, "found_rows").count("data-key=") == 1
    page.selectbox(key="find_state").select("any")
    page.text_input(key="find_lot").set_value("24-233").run()
    rows = markup(page, "found_rows")
    assert "saddle" in rows
    assert "W-0964" not in rows


def test_a_recipe_tells_its_record_and_life_and_is_judged(open_page):
    page = open_page("recipes")
    choose(page, "recipe warm neck")
    said = "approved: used 5 times; 4 of 4 in tolerance (likely 51 to 100 %)"
    assert any(one.value.startswith(said) for one in page.markdown)
    life = markup(page, "life")
    assert life.index("approved") < life.index("tried") < life.index("draft")
    press(page, texts.RETIRE)
    assert any(one.value.startswith("retired") for one in page.markdown)
    choose(page, "recipe old neck")
    assert any("came back: shade 2" in one.value for one in page.markdown)


def test_two_revisions_and_two_recipes_are_set_side_by_side(open_page):
    page = open_page("recipes")
    choose(page, "recipe warm neck")
    page.selectbox(key="compare_with").select(("warm neck", 1)).run()
    pair = markup(page, "pair")
    assert "2 parts pollen + 1 part saddle + 5 parts clear" in pair
    assert words.DIFFERS in pair
    page.selectbox(key="compare_with").select(("old neck", None)).run()
    assert "kettle" in markup(page, "pair")


def test_two_benches_that_change_one_recipe_are_shown_the_difference(open_page, own_demo):
    page = open_page("recipes")
    choose(page, "recipe warm neck")
    with open_book(own_demo, author="bench-2") as book:
        other = book.recipes()["warm neck"]
        book.revise_recipe(replace(other, notes="on hurdle alone", based_on=3))
    page.text_input(key="revise warm neck painted").set_value("1 × 1 saddle + 5 clear").run()
    press(page, words.REVISE_IT)
    assert page.warning[0].value == words.MEANWHILE.format(other=4)
    assert "on hurdle alone" in markup(page, "meanwhile")
    assert "1 part saddle + 5 parts clear" in markup(page, "meanwhile")
    with open_book(own_demo) as book:
        assert [one.record.state for one in book.entered("recipe", "warm neck")][-1] == "draft"
        assert len(book.entered("recipe", "warm neck")) == 5


def test_an_outcome_becomes_a_recipe_and_the_next_step_of_a_case(open_page, own_demo):
    page = open_page("recipes")
    outcome = next(part for part in markup(page, "found_rows").split('data-key="') if part.startswith("outcome"))
    choose(page, outcome.split('"')[0])
    page.text_input(key="recipe_name").set_value("my neck").run()
    press(page, texts.KEEP_RECIPE)
    assert page.subheader[0].value == "my neck"
    path = next(one for one in page.selectbox(key="use_case").options if "1051" in one)
    page.selectbox(key="use_case").select(path).run()
    zones = next(one for one in page.multiselect if one.label == words.ZONES)
    zones.select((11, "cervical")).run()
    press(page, words.USE_IT)
    assert "11 cervical in W-1051" in page.success[0].value
    with open_book(own_demo) as book:
        assert [one.zone for one in book.choices("W-1051").values()] == ["cervical"]


def test_a_stain_shows_its_coats_stripes_and_jars(open_page):
    page = open_page("stains")
    page.session_state["kept"]["stain"] = "saddle"
    page.run()
    assert page.subheader[0].value == "saddle"
    assert markup(page, "stripes").count('class="table-row"') == 7
    assert len(page.get("vega_lite_chart")) == 2  # its coats, its jars
    said = " ".join(one.value for one in page.markdown)
    assert "ot 24-233 of saddle" in said
    assert "bench-2 lays on" in said
    assert [one.label for one in page.button] == [stripe_words.ADD_OR_STRIPES, texts.NEXT_STRIPE]
    templates = ["readings.csv", "chips.csv", "stains.yaml"]
    assert [one.label for one in page.download_button] == [*templates, stain_words.PLATE.format(stain="saddle")]
    assert "from ordinary work" in said or "7 stripes" in said


def test_a_white_stain_is_drawn_on_the_plate_on_which_it_shows(own_demo):
    view = Lab.open(own_demo).stains.view("flour")
    assert view.plate == "plate-dark"
    assert [curve.name for curve in view.curves] == ["bare", "clear", "1", "0.25", "0.0625"]
    assert Lab.open(own_demo).stains.view("saddle").plate == "plate-pale"


def test_the_jars_of_a_stain_are_not_those_of_one_whose_name_begins_so(own_demo, monkeypatch):
    lots = (Factor("lot", "24-7", stain, ln=0.1, sd=0.02, outcomes=9) for stain in ("flour", "flour deep"))
    known = Known({one.key: one for one in lots})
    lab_of_book = stain_views.lab_of_book
    monkeypatch.setattr(stain_views, "lab_of_book", lambda book: replace(lab_of_book(book), known=known))
    assert [one.name for one in Lab.open(own_demo).stains.view("flour").jars] == ["flour 24-7"]


def test_plates_to_print_hold_the_stain(own_demo):
    page = Lab.open(own_demo).stains.plate_page(["saddle", "clear"])
    assert "saddle" in page
    assert "<script" not in page


def test_stripes_come_by_file_and_are_known_by_their_content(open_page, own_demo, monkeypatch, tmp_path):
    monkeypatch.setenv("STAINBOOK_BOOK", f"sqlite:///{tmp_path / 'empty.db'}")
    lab = shipped("recipes")
    page = open_page("stains")
    files = [("b.csv", (lab / "readings.csv").read_bytes(), "text/csv")]
    page.file_uploader[0].set_value(files).run()
    press(page, stain_words.LEARN.of(1))
    assert "found no list of stripes among the files" in page.warning[0].value
    rows = [line for line in (lab / "chips.csv").read_text().splitlines() if "saddle" in line or "clear" in line]
    head = (lab / "chips.csv").read_text().splitlines()[0]
    files.append(("a.csv", "\n".join([head, *rows]).encode(), "text/csv"))
    page.file_uploader[0].set_value(files).run()
    press(page, stain_words.LEARN.of(2))
    assert page.success[0].value.startswith("Learnt: 2 stains")
    with open_book(f"sqlite:///{tmp_path / 'empty.db'}") as book:
        assert len(book.chips()) == 9


def test_the_weekly_chip_is_charted_with_its_drift(open_page, own_demo):
    assert Lab.open(own_demo).readings.weekly_chips() == ("weekly-plate",)
    page = open_page("stains")
    page.session_state["weekly"] = True
    page.run()
    assert not page.exception
    assert page.selectbox(key="control_chip").value == "weekly-plate"
    assert any(one.value == stain_words.IN_CONTROL for one in page.markdown)  # the drift of June is over
    assert "beyond 3.3 sigma" in json.dumps([json.loads(one.proto.spec) for one in page.get("vega_lite_chart")])


def test_a_stain_without_stripes_says_so(open_page):
    page = open_page("stains")
    page.session_state["kept"]["stain"] = "rook"
    page.run()
    assert page.info[0].value == texts.NO_STRIPES.format(stain="rook")


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
    page.selectbox(key="set_light").select("daylight (CIE D65), 2°").run()
    press(page, texts.SET_UP)
    assert ">daylight (CIE D65), 2°</span>" in markup(page, "instruments")
    page.text_input(key="set_person").set_value("bench-1").run()
    press(page, texts.ENTER)
    assert any(one.value == "bench-1" for one in page.markdown)
    page = open_page("recipes")
    assert page.selectbox(key="light").options[0] == "hand (daylight (CIE D65), 2°)"
