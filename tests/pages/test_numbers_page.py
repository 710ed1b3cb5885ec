"""The page of the lab's numbers: with intervals, by technician, clinic, stain and month, of a period."""

from datetime import date

import pytest

from stainbook.book import open_book
from stainbook.kept import Settings
from stainbook.pages.lab import numbers_texts as words
from tests.pages.driving import markup
from tests.work.test_claims_met import honest


@pytest.fixture
def few_will_do(monkeypatch, own_demo):
    """The demonstration lab has 8 units: figures of these are told, and bench-1 leads the lab and sees all."""
    monkeypatch.setattr("stainbook.work.lab.numbers.LEAST_UNITS", 1)
    monkeypatch.setenv("STAINBOOK_AUTHOR", "bench-1")
    with open_book(own_demo) as book:
        book.add_settings(Settings(leads=("bench-1",), lead_sees_all=True))


def test_of_few_units_no_figure_is_told(open_page):
    page = open_page("numbers")
    assert "Of fewer than 20 units" in page.info[0].value
    assert len(page.get("vega_lite_chart")) == 0
    assert "9 in 10" not in markup(page, "rows")
    assert any("Means a case" in one.value for one in page.caption)


@pytest.mark.usefixtures("few_will_do")
def test_the_numbers_of_the_demonstration_lab(open_page):
    page = open_page("numbers")
    facts = markup(page, "facts")
    assert "of 8 units (likely" in facts
    assert "shade 1" in facts
    assert ">barley<" in markup(page, "rows")  # by stain first
    page.selectbox(key="numbers_by").select("technician").run()
    rows = markup(page, "rows")
    assert ">bench-1<" in rows
    assert ">bench-2<" in rows
    assert len(page.get("vega_lite_chart")) == 2
    page.selectbox(key="numbers_by").select("clinic").run()
    assert ">Harbour practice<" in markup(page, "rows")
    assert [one.label for one in page.download_button] == [words.CSV, words.EXCEL]


@pytest.mark.usefixtures("few_will_do")
def test_a_period_narrows_them(open_page):
    page = open_page("numbers")
    page.date_input(key="numbers_since").set_value(date(2026, 5, 1)).run()
    assert "of 2 units" in markup(page, "facts")
    page.date_input(key="numbers_until").set_value(date(2026, 5, 2)).run()
    assert page.info[0].value == words.NONE_THEN


def test_an_empty_book_says_what_to_bring(open_page, monkeypatch, tmp_path):
    monkeypatch.setenv("STAINBOOK_BOOK", f"sqlite:///{tmp_path / 'empty.db'}")
    assert open_page("numbers").info[0].value == words.NOTHING


def test_few_claims_are_told_as_unknown(open_page):
    page = open_page("numbers")
    assert any(one.value.startswith("Unknown yet: ") for one in page.markdown)


@pytest.mark.usefixtures("few_will_do")
def test_claims_beside_what_came_of_them(open_page, own_demo):
    with open_book(own_demo) as book:
        book.add_outcomes(honest(120))
    page = open_page("numbers")
    assert any("the chances hold" in one.value for one in page.markdown)
    shown = markup(page, "trust")
    assert "claimed " in shown
    assert ">2026-01<" in shown
    page.selectbox(key="trust_by").select("technician").run()
    assert ">bench-1<" in markup(page, "trust")
    assert len(page.get("vega_lite_chart")) == 3
