"""A tray in a real Chromium: pieces ticked, in the furnace, loaded anew in the middle, out; and the label's QR code."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from stainbook.book import open_book
from stainbook.report.label_drawing import qr_rows
from stainbook.work.lab.settings import keep_host
from stainbook.work.sheets.case_label import label_of
from tests.browser.conftest import PATIENCE, served, settle
from tests.work.test_case_label import HOST, seen
from tests.work.test_tray import BARE, open_cases, painted


@pytest.fixture
def bench(tmp_path):
    """An app on a book with two painted pieces."""
    book = f"sqlite:///{tmp_path / 'lab.db'}"
    with open_book(book, author="bench-1") as opened:
        open_cases(opened, BARE, replace(BARE, case="W-2"))
        painted(opened, "W-1", "W-2")
        keep_host(opened, HOST)
    with served("--book", book, "app", "--folder", str(tmp_path), "--no-browser") as url:
        yield book, url


def press(page, name):
    page.get_by_role("button", name=name, exact=True).click()
    settle(page)


def test_a_tray_survives_a_reload_and_a_label_opens_its_case_on_a_phone(bench, opened):
    book, url = bench
    page = opened(url, size=(820, 1180), touch=True)
    page.goto(f"{url}/tray")
    piece = page.get_by_text("W-1: blasted, zirconia, 1 zone painted")
    piece.wait_for(timeout=PATIENCE)
    settle(page)
    for one in (piece, page.get_by_text("W-2: blasted, zirconia, 1 zone painted")):
        one.click()
        settle(page)
    minutes = page.get_by_role("textbox", name="Minutes, door to door")
    minutes.fill("24")
    minutes.press("Tab")
    settle(page)
    press(page, "Into the furnace: 2 pieces")
    page.get_by_text(re.compile(r"2[34] minutes to go, out at \d\d:\d\d")).wait_for(timeout=PATIENCE)

    page.reload()  # in the middle: nothing of the session is left
    page.get_by_text(re.compile(r"2[34] minutes to go, out at \d\d:\d\d")).wait_for(timeout=PATIENCE)
    settle(page)
    press(page, "Out of the furnace: record 2 pieces")
    page.get_by_text("recorded: 2 pieces, W-1, W-2").wait_for(timeout=PATIENCE)
    with open_book(book) as there:
        assert {one.case for one in there.firings()} == {"W-1", "W-2"}
        address = label_of(there, "W-1").address

    page.goto(f"{url}/timeline?{address.partition('?')[2]}")
    label = page.get_by_role("button", name="Label for the tray", exact=True)
    label.wait_for(timeout=PATIENCE)
    settle(page)
    assert "fired (stain)" in page.locator(".timeline").first.inner_text()
    with page.expect_download() as download:
        label.click()
    assert download.value.suggested_filename == "label-W-1.pdf"
    assert Path(download.value.path()).read_bytes().startswith(b"%PDF")

    phone = opened(url, size=(390, 844), touch=True)
    phone.goto(seen(qr_rows(address)).replace(HOST, url))  # what its camera makes of the code
    phone.get_by_text("11 middle").first.wait_for(timeout=PATIENCE)
    settle(phone)
    named = "e => e.innerText + [...e.querySelectorAll('input')].map(one => one.value).join()"
    assert "W-1" in phone.locator("[data-testid=stSelectbox]").first.evaluate(named)
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
