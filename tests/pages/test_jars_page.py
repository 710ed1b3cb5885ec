"""The page of jars and bottles without a browser: opened, run out, undone, and what is told."""

from stainbook.book import open_book
from stainbook.faces.firing_types import ZoneResult
from stainbook.lab import Lab
from stainbook.pages.lab import jars_texts as words
from tests.pages.driving import markup, press


def test_a_jar_is_opened_confirmed_run_out_and_that_is_undone(open_page, own_demo):
    page = open_page("jars")
    assert "24-129" in markup(page, "jars")  # a lot that only stripes name
    assert "not entered" in markup(page, "jars")
    page.selectbox(key="jar_stain").select("kettle").run()
    page.session_state["kept"]["jar_lot"] = "27-1"  # typed as a new option
    page.run()
    assert next(one for one in page.button if one.label == words.KEEP).disabled
    page.checkbox(key="jar_sure kettle: 27-1").check().run()
    page.text_input(key="jar_day").set_value("soon").run()
    press(page, words.KEEP)
    assert "found the day 'soon'" in page.warning[0].value
    page.text_input(key="jar_day").set_value("2026-03-02").run()
    press(page, words.KEEP)
    assert 'aria-label="kettle: 27-1' in markup(page, "jars")
    press(page, words.RUN_OUT_TODAY)
    with open_book(own_demo) as book:
        (jar,) = book.jars()
    assert (jar.opened_on, jar.run_out_on is None) == ("2026-03-02", False)
    press(page, words.NOT_RUN_OUT)
    page.checkbox(key="jars_left").check().run()
    assert "kettle: 27-1" in markup(page, "jars")


def test_a_jar_that_ran_out_and_is_meant_leads_to_its_case(open_page, own_demo):
    with Lab(own_demo) as lab:
        lab.case("W-1051").firing.paint([ZoneResult(11, "middle", "1 part barley + 3 parts clear")])
        named = next(one for one in lab.stains.jars.all().jars if one.cases)
        lab.stains.jars.run_out(named.stain, named.lot)
    page = open_page("jars")
    page.session_state["kept"]["jar"] = f"{named.stain}: {named.lot}"
    page.run()
    assert "still meant" in page.info[0].value
    assert f"Open {named.cases[0]}" in [one.label for one in page.button]
