"""From a jar to its curve without a browser: what is typed so far, impossible numbers, the wrong order, two tabs."""

import math

import pytest
from streamlit.testing.v1 import AppTest

from stainbook.errors import InputError
from stainbook.faces.reading_types import Dropped, Light
from stainbook.faces.stain_types import NewStain, PlateOrder, TypedPlates
from stainbook.faces.wish_types import TabAndTooth
from stainbook.lab import Lab
from stainbook.pages.lab import stripes_texts as words
from stainbook.pages.shell import texts
from stainbook.pages.shell.page_list import page_file
from tests.pages.driving import markup, press, show

LIGHT = Light("D65", 10)
HUE = {"husk": (-14.0, 6.0, 13.0), "teasel": (-6.0, -1.0, 22.0)}  # of a thick coat, from clear glaze


@pytest.fixture
def lab(monkeypatch, tmp_path):
    """An empty book."""
    url = f"sqlite:///{tmp_path / 'lab.db'}"
    monkeypatch.setenv("STAINBOOK_BOOK", url)
    monkeypatch.setenv("STAINBOOK_FOLDER", str(tmp_path))
    Lab.close_all()
    return Lab(url, author="bench-1")


@pytest.fixture
def laid(lab):
    """Two stains on one plate that waits."""
    lab.stains.enter(NewStain("husk", "paste", "brown", lot="24-117"), NewStain("teasel", "paste", "yellow"))
    lab.stains.keep_plates(PlateOrder(("husk", "teasel"), material="zirconia"))
    return lab


@pytest.fixture
def app(laid):
    return AppTest.from_file(str(page_file("stripes")), default_timeout=60).run()


def rows_of(lab):
    """What a plate would read, made up: each share and coat covers with a power of its amount."""
    chips = {chip.chip: chip for chip in lab.book.chips()}
    typed = {}
    for row in lab.stains.waiting_plates()[0].rows:
        colour = [77.3, 0.3, 11.6] if row.number == 0 else [75.1, 0.4, 12.4]
        for layer in chips[row.sample].layers if row.number else ():
            for name, share in layer.pot.shares:
                covered = 1.0 - math.exp(-1.8 * share**0.9 * layer.coats)
                colour = [have + covered * more for have, more in zip(colour, HUE[name], strict=True)]
        typed[row.sample] = " ".join(f"{one:.1f}".replace(".", ",") for one in colour)
    return typed


def typed(app, rows):
    kept = app.session_state["kept"]
    kept["typed plates"] = rows
    app.session_state["kept"] = kept
    app.run()
    assert not app.exception
    return app


def save(app):
    return next(one for one in app.button if one.label.startswith("Save ") and "row" in one.label)


def test_a_stain_its_jar_and_a_lay_out(lab):
    page = AppTest.from_file(str(page_file("stripes")), default_timeout=60).run()
    for name in ("husk", "teasel", "moss", "peat"):
        page.text_input(key="stain_name").set_value(name)
        page.text_input(key="stain_lot").set_value("24-117").run()
        press(page, words.ADD)
    page.text_input(key="stain_name").set_value("2 husk").run()
    press(page, words.ADD)
    assert "can stand in a mix" in page.warning[0].value
    page.text_input(key="stain_name").set_value("husk")
    page.text_input(key="stain_lot").set_value("25-003").run()
    press(page, words.CHANGE.format(stain="husk"))
    assert "25-003" in markup(page, "listed")
    press(page, words.TO_PLATES)
    assert "2 plates, 15 stripes, one firing." in [one.value for one in page.markdown]
    press(page, words.KEEP_PLAN)
    assert [one.plate for one in lab.stains.waiting_plates()] == ["plate-1", "plate-2"]
    assert save(page).disabled
    assert lab.stains.rows()[0].stripes == 0  # laid out is not read
    assert {lot for chip in lab.book.chips() for layer in chip.layers for _, lot in layer.lots} == {"24-117", "25-003"}


def test_rows_are_saved_in_one_step_and_the_curve_is_seen(app, laid):
    assert "plate-1" in app.multiselect(key="plates_read").value
    typed(app, rows_of(laid))
    assert save(app).label == "Save 9 rows, and learn from them"
    before = laid.newest()
    press(app, save(app).label)
    assert "Saved and learnt: husk, teasel." in app.success[0].value
    assert laid.newest() > before
    assert laid.stains.waiting_plates() == ()
    assert [(one.name, one.stripes) for one in laid.stains.rows()] == [("husk", 3), ("teasel", 3), ("clear", 2)]
    press(app, words.SEE)
    assert app.selectbox(key="reach_stain").value == "husk"
    assert words.OPENS_NONE in [one.value for one in app.markdown]


def test_a_stripe_that_was_typed_wrong_is_typed_again(app, laid):
    rows = rows_of(laid)
    stripe = next(row for row in laid.stains.waiting_plates()[0].rows if row.painted.endswith("husk undiluted"))
    wrong = rows | {stripe.sample: "20 30 -20"}
    press(typed(app, wrong), save(app).label)
    assert laid.book.find_reading(stripe.sample).lab == (20.0, 30.0, -20.0)
    app.session_state["kept"] = app.session_state["kept"] | {"stripes_step": "rows"}
    app.run()
    app.selectbox(key="plate_again").set_value("plate-1").run()
    assert "20.0 30.0 -20.0" in markup(app, "form plates_again").replace("−", "-")  # as it was read
    app.session_state["kept"] = app.session_state["kept"] | {"typed plates_again": {stripe.sample: rows[stripe.sample]}}
    app.run()
    press(app, "Save 1 row, and learn from it")
    assert "Saved and learnt: husk" in app.success[0].value
    L, a, b = (float(one.replace(",", ".")) for one in rows[stripe.sample].split())
    assert laid.book.find_reading(stripe.sample).lab == (L, a, b)
    assert laid.stains.rows()[0].stripes == 3


def test_typed_rows_outlive_another_page_and_are_not_saved(app, laid):
    rows = rows_of(laid)
    first = next(iter(rows))
    typed(app, {first: rows[first]})
    show(app, "stains")
    show(app, "stripes")
    assert app.session_state["kept"]["typed plates"] == {first: rows[first]}
    assert laid.book.readings() == ()


def test_an_impossible_value_is_asked_about_at_its_row_and_stored_nowhere(app, laid):
    rows = rows_of(laid)
    typed(app, rows)
    app.session_state["reader plates"] = {"typed": [{"id": "1", "key": "plate-1", "text": "774 0,3 11,6"}]}
    app.run()
    assert "774, did you mean 77.4?" in app.warning[0].value
    assert save(app).disabled
    with pytest.raises(InputError, match="plate-1: found 774 0,3 11,6, expected"):
        laid.stains.read_plates(TypedPlates(("plate-1",), {**rows, "plate-1": "774 0,3 11,6"}, LIGHT))
    assert laid.book.readings() == ()


def test_rows_in_the_wrong_order_are_asked_about(app, laid):
    rows = rows_of(laid)
    thin, thick = "husk-1of4-x1-plate-1", "husk-1-x1-plate-1"
    typed(app, {**rows, thin: rows[thick], thick: rows[thin]})
    assert "rows 3 and 4" in app.warning[0].value
    assert not save(app).disabled  # the bench decides


def test_a_plate_without_its_bare_reading_is_refused(laid):
    rows = {name: three for name, three in rows_of(laid).items() if name != "plate-1"}
    with pytest.raises(InputError, match="never read bare"):
        laid.stains.read_plates(TypedPlates(("plate-1",), rows, LIGHT))


def test_what_a_second_tab_saves_too_is_stored_once(app, laid):
    rows = rows_of(laid)
    told = TypedPlates(("plate-1",), rows, LIGHT)
    laid.stains.read_plates(told)
    app.run()
    assert words.NO_PLATES in [one.value for one in app.info]
    assert len(laid.book.readings()) == 9


def test_two_benches_lay_out_plates_of_different_names(laid):
    assert laid.stains.keep_plates(PlateOrder(("husk",))).plates == ["plate-2"]
    with pytest.raises(InputError, match="carries stripes already"):
        laid.stains.keep_plates(PlateOrder(("husk",), ("plate-1",)))


def test_the_sheet_has_the_rows_in_the_order_in_which_they_are_typed(laid):
    sheet = laid.stains.plates_sheet(["plate-1"])
    rows = laid.stains.waiting_plates()[0].rows
    places = [sheet.index(row.sample) for row in rows if row.number]
    assert places == sorted(places)
    assert "bare, before it is painted" in sheet


def test_the_files_to_fill_in_can_be_learnt_from(lab):
    files = [Dropped(name, text.encode()) for name, text in lab.stains.templates().items()]
    found = lab.stains.learn_from(files)
    assert {one.stain: one.chips for one in found.stains} == {"husk": 3, "teasel": 0, "clear": 1}


@pytest.mark.parametrize("page", ["stains", "plan"])
def test_what_needs_a_stripe_leads_to_where_the_first_ones_are_made(lab, page):
    lab.stains.enter(NewStain("husk"))
    lab.cases.make_piece(TabAndTooth({"middle": "72 1 15"}, {"middle": "74 1 12"}, LIGHT))
    drawn = AppTest.from_file(str(page_file(page)), default_timeout=60).run()
    assert not drawn.exception
    assert texts.TO_STRIPES in [one.label for one in drawn.button]


def test_a_lay_out_is_removed_and_brought_back(app, laid):
    before = laid.stains.waiting_plates()
    press(app, "Remove 8 stripes of plate-1")
    assert laid.stains.waiting_plates() == ()
    assert [(one.name, one.stripes) for one in laid.stains.rows()] == [("husk", 0), ("teasel", 0)]
    assert app.success[0].value == words.REMOVED.format(plates="plate-1")
    assert laid.stains.keep_plates(PlateOrder(("husk",))).plates == ["plate-2"]  # the printed sheet says plate-1
    press(app, words.BRING_BACK.format(plate="plate-1"))
    assert laid.stains.waiting_plates()[0].rows == before[0].rows


def test_stripes_that_were_read_stay_when_the_rest_is_removed(app, laid):
    rows = rows_of(laid)
    few = {name: rows[name] for name in [*rows][:4]}
    laid.stains.read_plates(TypedPlates(("plate-1",), few, LIGHT))
    app.run()
    press(app, "Remove 5 stripes of plate-1")
    assert laid.stains.waiting_plates() == ()
    assert sum(one.stripes for one in laid.stains.rows()) == 3
    with pytest.raises(InputError, match="expected a plate that waits"):
        laid.stains.remove_plates(["plate-1"])
