"""The page of a tray without a browser: ticked, in, loaded anew in the middle, out, undone; and what is told."""

from dataclasses import replace

import pytest
from streamlit.testing.v1 import AppTest

from stainbook.apparatus import Programme
from stainbook.book import open_book
from stainbook.errors import InputError
from stainbook.lab import Lab
from stainbook.pages.bench import tray_texts as words
from stainbook.pages.bench.tray_parts import said_time
from stainbook.pages.shell import texts
from stainbook.pages.shell.page_list import page_file
from stainbook.work.firing import tray_firing
from stainbook.work.firing.tray_firing import TrayShown, TrayWish, put_in, trays
from tests.pages.driving import press
from tests.work.test_tray import BARE, open_cases, painted


@pytest.fixture
def url(monkeypatch, tmp_path):
    """A lab with two painted pieces, one that is not, and a programme."""
    url = f"sqlite:///{tmp_path / 'lab.db'}"
    monkeypatch.setenv("STAINBOOK_BOOK", url)
    monkeypatch.setenv("STAINBOOK_FOLDER", str(tmp_path))
    Lab.close_all()
    with open_book(url, author="bench-1") as book:
        open_cases(book, *(replace(BARE, case=code) for code in ("W-1", "W-2", "W-3")))
        painted(book, "W-1", "W-2")
        book.add_programmes([Programme("stain", furnace="small", minutes=24.0)])
    return url


def opened():
    page = AppTest.from_file(str(page_file("tray")), default_timeout=60).run()
    assert not page.exception
    return page


def tick(page, *codes):
    for code in codes:
        page.checkbox(key=f"tray_piece_{code}").check().run()
    return page


def said(page):
    return " ".join(one.value for one in page.markdown)


def test_a_tray_from_the_ticks_to_one_record_with_a_reload_in_the_middle(url):
    page = opened()
    assert page.checkbox(key="tray_piece_W-3").disabled
    assert "nothing lies unfired on W-3" in said(page)
    assert next(one for one in page.button if one.label == "Into the furnace: 0 pieces").disabled
    page.selectbox(key="tray_programme").select("stain").run()
    assert page.text_input(key="tray_minutes").value == "24"
    press(tick(page, "W-1", "W-2"), "Into the furnace: 2 pieces")
    again = opened()  # another browser session: nothing of the first is kept in it
    assert "stain: W-1, W-2" in said(again).replace("\\", "").replace("\u2060", "")
    assert "24 minutes to go, out at" in said(again)
    assert "W-1 is in the furnace since" in said(again).replace("\\", "")
    press(again, "Out of the furnace: record 2 pieces")
    assert "recorded: 2 pieces" in again.success[0].value
    with open_book(url) as book:
        assert {one.case for one in book.firings()} == {"W-1", "W-2"}
    undo = next(one.label for one in again.button if one.label.startswith("Undo: taken out at"))
    press(again, undo)
    with open_book(url) as book:
        assert book.firings() == ()
    assert "minutes to go" in said(again)
    press(again, words.NEVER_IN)
    with open_book(url) as book:
        assert trays(book) == ()


def test_a_piece_that_was_not_on_it_and_a_second_bench_that_is_told(url):
    first, second = opened(), opened()
    tick(second, "W-1")
    press(tick(first, "W-1", "W-2"), "Into the furnace: 2 pieces")
    press(first, "W-2 was not on it")
    second.button[-1].click().run()
    assert not second.exception
    with open_book(url) as book:
        (one,) = trays(book)
        assert one.tray.cases == ("W-1",)
    assert "is in the furnace since" in said(second)
    press(first, "Out of the furnace: record 1 piece")
    assert "stain: W" not in said(opened())


def test_the_second_press_out_of_the_furnace_is_told(url, monkeypatch):
    with open_book(url, author="bench-2") as book:
        tray = put_in(book, ["W-1"], TrayWish())
    page = opened()

    def late(book, name):
        raise InputError(f"{name} was taken out by bench-2")

    monkeypatch.setattr(tray_firing, "taken_out", late)
    press(page, "Out of the furnace: record 1 piece")
    assert "taken out by bench-2" in page.warning[0].value
    assert tray.tray.split(" ")[0] == "tray"


def test_a_lab_without_a_piece_leads_to_the_first_case(monkeypatch, tmp_path):
    monkeypatch.setenv("STAINBOOK_BOOK", f"sqlite:///{tmp_path / 'lab.db'}")
    Lab.close_all()
    page = opened()
    assert page.info[0].value == words.NO_PIECES
    assert [one.label for one in page.button] == [texts.MAKE_CASE]


@pytest.mark.parametrize(
    ("minutes", "passed", "text"),
    [
        (24, 0, "24 minutes to go"), (24, 22.6, "1 minute to go"), (24, 23.5, "Less than a minute"),
        (24, 24.2, "Due now"), (24, 25.1, "1 minute ago"), (None, 7.5, "In for 7 minutes"),
    ],
)  # fmt: skip
def test_the_time_of_a_tray_in_words(minutes, passed, text):
    from datetime import UTC, datetime, timedelta

    from stainbook.apparatus import FurnaceTray

    at = datetime(2026, 3, 1, 14, 5, tzinfo=UTC)
    one = TrayShown(FurnaceTray("tray 1", ("W-1",), at.isoformat(), "stain", minutes=minutes), "bench-1", "")
    assert text in said_time(one, at + timedelta(minutes=passed))
