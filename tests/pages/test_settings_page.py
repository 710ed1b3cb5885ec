"""The settings page: what the lab decides once is kept in the book, and its work goes by it."""

from stainbook.book import open_book
from stainbook.pages.lab import settings_texts as words
from tests.pages.driving import markup


def press(page, key):
    page.button(key=key).click().run()
    assert not page.exception


def test_own_thresholds_are_kept_and_a_wrong_pair_is_not(open_page, own_demo):
    page = open_page("settings")
    page.selectbox(key="set_limits_tooth").select("own").run()
    page.text_input(key="set_seen_tooth").set_value("1,0")
    page.text_input(key="set_most_tooth").set_value("0,5").run()
    press(page, "keep tooth")
    assert "expected 0.01 &lt;= perceptible &lt;= acceptable" in page.warning[0].value
    page.text_input(key="set_most_tooth").set_value("2,6").run()
    press(page, "keep tooth")
    assert page.success[0].value == words.KEPT
    page.selectbox(key="set_limits_gingiva").select("gum-2020-strict").run()
    press(page, "keep gingiva")
    with open_book(own_demo) as book:
        assert book.settings().thresholds == ("own-tooth-1-2.6", "gum-2020-strict")
        assert len(book.entered("settings", "lab")) == 2
    assert open_page("settings").text_input(key="set_most_tooth").value == "2.6"


def test_mixing_light_and_the_labs_name(open_page, own_demo):
    page = open_page("settings")
    page.text_input(key="set_strengths").set_value("1/8, 1/3, 1")
    page.text_input(key="set_step").set_value("0,05").run()
    press(page, "keep mixing")
    page.selectbox(key="set_viewing").select("warm daylight (CIE D50), 2°").run()
    press(page, "keep viewing")
    page.text_input(key="set_lab").set_value(" Lab by the  river").run()
    press(page, "keep lab")
    with open_book(own_demo) as book:
        found = book.settings()
    assert found.strengths == (1 / 8, 1 / 3, 1.0)
    assert found.scale_step == 0.05
    assert (found.viewing.illuminant, found.viewing.observer) == ("D50", 2)
    assert found.lab == "Lab by the river"
    press(page, "undo settings")
    assert page.text_input(key="set_lab").value == ""
    assert page.button(key="undo settings").label == "Undo: light of spectra"
    page.text_input(key="set_strengths").set_value("much").run()
    press(page, "keep mixing")
    assert "found the strength 'much'" in page.warning[0].value


def test_programmes_come_without_temperatures_and_the_book_is_checked(open_page):
    page = open_page("settings")
    assert ">glaze<" in markup(page, "programmes")
    page.text_input(key="set_programme").set_value("add-on").run()
    press(page, "enter programme")
    assert ">add-on<" in markup(page, "programmes")
    next(one for one in page.button if one.label == words.VERIFY).click().run()
    assert not page.exception
    assert any("records, each as it was stored" in one.value for one in page.success)
    assert [one.label for one in page.download_button] == [words.BACKUP]


def test_a_lab_may_look_on_before_it_follows(open_page, own_demo):
    page = open_page("settings")
    page.toggle(key="set_shadow").set_value(True).run()
    press(page, "keep shadow")
    with open_book(own_demo) as book:
        assert book.settings().shadow is True
    assert open_page("settings").toggle(key="set_shadow").value is True


def test_roles_prices_and_who_sits_here(open_page, own_demo):
    page = open_page("settings")
    page.selectbox(key="set_who").select("bench-2").run()
    assert not page.exception
    page.multiselect(key="set_leads").select("bench-1").run()
    page.multiselect(key="set_apprentices").select("bench-2").run()
    page.toggle(key="set_sees").set_value(True).run()
    page.button(key="keep roles").click().run()
    page.text_input(key="set_price_firing").set_value("9,50").run()
    page.text_input(key="set_currency").set_value("EUR").run()
    page.button(key="keep prices").click().run()
    assert not page.exception
    with open_book(own_demo) as book:
        kept, rows = book.settings(), book.entered("settings", "lab")
    assert (kept.leads, kept.lead_sees_all, kept.apprentices) == (("bench-1",), True, ("bench-2",))
    assert (kept.prices.firing, kept.prices.currency) == (9.5, "EUR")
    assert {one.author for one in rows} == {"bench-2"}  # who sits here stored it
