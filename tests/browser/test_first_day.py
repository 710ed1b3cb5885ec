"""Ten minutes in a real Chromium: first run, empty book, a handheld; from a case to a recorded firing."""

from pathlib import Path

from tests.browser.conftest import PATIENCE, settle
from tests.first_day import EIGHT


def press(page, name):
    page.get_by_role("button", name=name, exact=True).click()
    settle(page)


def fill(page, name, text):
    page.get_by_role("textbox", name=name).fill(text)
    page.keyboard.press("Tab")
    settle(page)


def test_ten_minutes_from_an_empty_book(first_day_url, opened, tmp_path):
    page = opened(first_day_url)
    page.goto(first_day_url)
    page.get_by_role("button", name="Make the first case").wait_for(timeout=PATIENCE)
    settle(page)
    press(page, "Make the first case")

    fill(page, "Case code", "W-1")
    fill(page, "Target of the teeth", "72 1,5 17")
    fill(page, "Target of the gum", "52 21 14")
    press(page, "Make a case")

    fill(page, "Type or paste", EIGHT)
    press(page, "Store 8 readings")
    row = page.locator('.zone-row[data-key="11 middle"]')
    row.wait_for()
    assert "7.2 too weak" in row.inner_text()  # chroma, in words and numbers
    assert "1.4 too dark" in page.locator('.zone-row[data-key="15 middle"]').inner_text()

    with page.expect_download() as sheet:
        page.get_by_role("button", name="Bench sheet to print").click()
    printed = Path(sheet.value.path()).read_text(encoding="utf-8")
    assert sheet.value.suggested_filename == "bench-W-1.html"
    assert "7.2 too weak" in printed
    assert "not a medical device" in printed

    press(page, "Open the case")
    assert page.locator('svg.arch [data-key="11 middle"]').count() == 1
    assert "7.2 too weak" in page.locator(".zone-detail").inner_text()

    press(page, "Record a firing")
    page.locator('.fired [data-key="11 middle"]').click()
    settle(page)
    fill(page, "Painted on 11 middle", "2 × 1 husk + 7 clear")
    fill(page, "L* a* b* of 11 middle", "71,6 1,4 16,8")
    page.get_by_text("husk: enter as new stains of the lab").click()
    settle(page)
    press(page, "Record 1 zone")
    page.get_by_text("Recorded: 1 zone of W-1").wait_for(timeout=PATIENCE)

    page.get_by_role("link", name="What waits").click()
    settle(page)
    assert "stained" in page.locator('[data-key="0"]').inner_text()
