"""Ten minutes in a real Chromium: first run, empty book, a handheld; from a case to a recorded firing."""

import re
from pathlib import Path

from playwright.sync_api import TimeoutError

from stainbook.pages.shell import way_texts as words
from tests.browser.conftest import PATIENCE, served, settle, turn_to
from tests.browser.test_photo_page import choose, drag, drop
from tests.first_day import EIGHT
from tests.photo.shots import by_kind, table, write_jpeg
from tests.worlds.photo_scenes import render


def press(page, name):
    page.get_by_role("button", name=name, exact=True).click()
    settle(page)


def fill(page, name, text):
    field = page.get_by_role("textbox", name=name)
    try:
        field.wait_for()
    except TimeoutError as error:
        raise AssertionError(f"no field {name!r} on {page.url}: {page.inner_text('[data-testid=stMain]')}") from error
    field.fill(text)
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
    page.locator('svg.arch [data-key="11 middle"]').wait_for(timeout=PATIENCE)
    assert page.locator('svg.arch [data-key="11 middle"]').count() == 1
    assert "7.2 too weak" in page.locator(".zone-detail").inner_text()

    turn_to(page, "Recipes")
    page.get_by_text("Nothing was recorded yet").wait_for()  # last time, on a first day

    turn_to(page, "Result")
    page.locator('.fired [data-key="11 cervical"]').click()
    settle(page)
    fill(page, "Painted on 11 cervical", "2 × 1 husk + 7 clear")
    page.get_by_text("husk: enter as new stains of the lab").click()
    settle(page)
    press(page, "Painted, into the furnace: 1 zone")
    page.get_by_text("not fired as far as the book knows").wait_for()

    press(page, "Read from a photo")
    scene = render(4, "test", polarised=True)
    drop(page, "Picture", write_jpeg(tmp_path / "p.jpg", scene))
    drop(page, "Table of the chart", table(tmp_path / "target.txt", scene))
    page.locator(".outlines svg").wait_for(timeout=PATIENCE)
    settle(page)
    polygon = by_kind(scene, "piece")[0][1].polygon
    drag(page, polygon.min(axis=0) + 4, polygon.max(axis=0) - 4)
    press(page, "Measure the colours")
    press(page, "Store 1 zone as readings of W-1")
    page.get_by_text("Stored: W-1-11-cervical").wait_for(timeout=PATIENCE)

    turn_to(page, "Result")
    page.get_by_text("1 zone in the book, 1 of them by photo").wait_for()
    press(page, "Record 1 zone")
    page.get_by_text("Recorded: 1 zone of W-1").wait_for(timeout=PATIENCE)

    turn_to(page, "What waits")
    assert "stained" in page.locator('[data-key="0"]').inner_text()
    turn_to(page, "Recipes")
    page.get_by_text("1 part husk + 7 parts clear").first.wait_for()  # and found the next time


def test_from_a_new_case_to_its_delivery_by_mouse(opened, tmp_path):
    with served("demo") as url:
        page = opened(url)
        page.goto(f"{url}/new-case")
        page.get_by_role("button", name="Make a case").wait_for(timeout=PATIENCE)
        fill(page, "Case code", "W-7")
        fill(page, "Teeth (ISO 3950)", "11")
        page.get_by_label("Clear all").click()  # no gum
        settle(page)
        press(page, "Make a case")  # no target yet: on to the targets

        choose(page, "Front teeth: 3 zones", "house/oat-mid")
        press(page, words.SET_GROUPS)  # and on to the readings, whose field has the focus
        page.get_by_role("textbox", name="L* a* b* of 11 cervical").wait_for()
        page.keyboard.type("75,9\n0,9\n15,6\n27,8 0,4 13,2\n")  # an instrument that ends each number with Enter
        page.get_by_text("27,8, did you mean 72,8?").wait_for()
        settle(page)
        page.reload()  # nothing that was typed is lost
        page.get_by_text("27,8, did you mean 72,8?").wait_for()
        press(page, "72,8 0,4 13,2 was meant")
        page.keyboard.type("74,4 0,2 9,8\n")
        settle(page)
        press(page, "Open the case")
        page.get_by_text(re.compile("about . in 10")).first.wait_for(timeout=60_000)  # its odds

        turn_to(page, "Result")
        page.locator('.fired [data-key="11 cervical"]').click()
        settle(page)
        painted = page.get_by_role("textbox", name="Painted on 11 cervical").input_value()
        assert "part" in painted  # as the advice has it
        page.get_by_role("button", name=re.compile("Painted as the sheet says: . zone")).click()
        page.locator(".reader input").wait_for(timeout=PATIENCE)  # the fields of what is read after
        settle(page)
        fill(page, "Type or paste", "70,9 1,6 19,6\n71,8 1,4 17,2\n70,4 0,8 13,8")
        fill(page, "Minutes, door to door", "42,5")
        page.get_by_role("button", name=re.compile("Record . zone")).click()
        settle(page)
        page.get_by_text(re.compile("Recorded: . zones? of W-7")).wait_for(timeout=PATIENCE)
        assert page.locator('.table [role="row"]').count() > 1  # expected, got
        page.screenshot(path=tmp_path / "recorded.png")

        turn_to(page, "Deliver")
        page.get_by_test_id("stRadioGroup").locator("label", has_text="the clinic").click()
        settle(page)
        press(page, "Accepted by the clinic")
        press(page, words.GLAZED_ALL)  # the case's finish is glaze, and none was told
        press(page, "Deliver W-7")
        page.get_by_text("It is delivered.").wait_for(timeout=PATIENCE)
        page.screenshot(path=tmp_path / "delivered.png")
        with page.expect_download() as report:
            page.get_by_role("button", name="Page for the clinic, PDF").click()
        assert report.value.suggested_filename == "W-7-report.pdf"
        assert Path(report.value.path()).read_bytes()[:5] == b"%PDF-"

        turn_to(page, "What waits")
        assert "W-7" not in page.locator(".waits").inner_text()
        page.locator('.segment[data-key="out"]').click()
        settle(page)
        assert "W-7" in page.locator(".waits").inner_text()
