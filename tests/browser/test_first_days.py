"""The first days in a real Chromium, from an empty book: a tab and a tooth to before and after; a jar to its curve."""

import math

from tests.browser.conftest import PATIENCE, settle
from tests.browser.test_first_day import fill, press

FIELD = ".reader input"
HUE = {"husk": (-14.0, 6.0, 13.0), "teasel": (-6.0, -1.0, 22.0)}  # of a thick coat, from clear glaze


def enter(page, numbers):
    """Numbers as they are typed: Enter goes on."""
    for one in numbers:
        page.keyboard.type(one)
        page.keyboard.press("Enter")
    settle(page)


def test_a_tab_and_a_tooth_to_before_and_after(first_day_url, opened):
    page = opened(first_day_url, size=(390, 844))
    page.goto(first_day_url)
    page.get_by_role("button", name="Read a tab and a tooth").click(timeout=PATIENCE)
    page.locator("svg.display").wait_for(timeout=PATIENCE)
    page.locator(FIELD).click()
    enter(page, ["72,4", "1,2", "15,0", "73 1 13", "774", "0,1", "10"])
    page.get_by_text("774, did you mean 77.4?").wait_for(timeout=PATIENCE)
    page.reload()  # in the middle: what was typed is still there
    page.get_by_text("774, did you mean 77.4?").wait_for(timeout=PATIENCE)
    assert "72,4 1,2 15,0" in page.locator(".form-list").inner_text()
    press(page, "77.4 0,1 10 was meant")
    page.locator(FIELD).click()
    enter(page, ["75,1", "0,8"])
    page.reload()  # and the half of a row
    page.locator(FIELD).wait_for(timeout=PATIENCE)
    settle(page)
    assert page.locator(FIELD).input_value().split() == ["75,1", "0,8"]
    page.locator(FIELD).click()
    page.keyboard.press("End")
    enter(page, ["12", "75", "0,5", "11", "78", "-0,3", "8"])
    assert not page.get_by_text("774, did you mean 77.4?").count()  # it was answered before the reload
    page.get_by_text("2.7 too light").wait_for(timeout=PATIENCE)
    press(page, "Save, and say what will be painted")
    fill(page, "11 cervical", "2 × 1 husk + 7 clear")
    page.get_by_role("button", name="Painted, into the furnace; new in the list: husk").click(timeout=PATIENCE)
    page.get_by_text("2 coats of (1 part husk + 7 parts clear)").wait_for(timeout=PATIENCE)
    settle(page)
    page.locator(FIELD).click()
    enter(page, ["72,1", "1,3", "14,6"])
    press(page, "Save, and show before and after")
    page.get_by_role("heading", name="11 cervical").wait_for(timeout=PATIENCE)
    shown = page.locator(".side-by-side").inner_text()
    assert "2.7 too light" in shown
    assert "value on target" in shown
    assert page.evaluate("() => document.documentElement.scrollWidth") <= 390
    page.reload()  # the address names the piece
    page.locator(".side-by-side").wait_for(timeout=PATIENCE)


def colour(row):
    """What a row would read, made up."""
    if row.startswith("plate"):
        return ["77,3", "0,3", "11,6"]
    stain, share, coats = (*row.split("-"), "", "")[:3]
    amount = 0.0 if stain == "clear" else (0.25 if share == "1of4" else 1.0) ** 0.9 * int(coats[1:])
    covered = 1.0 - math.exp(-1.8 * amount)
    parts = zip((75.1, 0.4, 12.4), HUE.get(stain, (0.0, 0.0, 0.0)), strict=True)
    return [f"{have + covered * more:.1f}" for have, more in parts]


def test_from_a_jar_to_its_curve(first_day_url, opened):
    page = opened(first_day_url)
    page.goto(f"{first_day_url}/stains")
    page.get_by_role("button", name="Add a stain, make stripes").click(timeout=PATIENCE)
    for name in ("husk", "teasel"):
        page.get_by_role("textbox", name="Jar (lot)").wait_for(timeout=PATIENCE)
        fill(page, "Name", name)
        fill(page, "Jar (lot)", "24-117")
        press(page, "Add the stain")
        page.get_by_text(name, exact=True).first.wait_for(timeout=PATIENCE)
    press(page, "Lay out plates")
    press(page, "Save this lay-out")
    page.locator(FIELD).wait_for(timeout=PATIENCE)
    settle(page)
    rows = [one.get_attribute("data-key") for one in page.locator(".form-list .table-row").all()]
    assert len(rows) == 9
    page.locator(FIELD).click()
    enter(page, [number for row in rows for number in colour(row)])
    page.get_by_role("button", name="Save 9 rows, and learn from them").click(timeout=PATIENCE)
    page.get_by_role("button", name="See the curve and what it opens").wait_for(timeout=PATIENCE)
    settle(page)
    press(page, "See the curve and what it opens")
    page.get_by_text("husk on plate-1: value and chroma by share").wait_for(timeout=PATIENCE)
    page.get_by_text("chroma C*").wait_for(timeout=PATIENCE)  # the axis of the second plot
