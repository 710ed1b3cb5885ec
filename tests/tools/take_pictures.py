"""``python -m tests.tools.take_pictures`` takes the pictures of README again, in Chromium: the ten minutes of a first
day with an empty book, then pages of the demonstration lab."""

import io
import re
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

from tests.browser.conftest import ARGUMENTS, BENCH, CHROMIUM, PATIENCE, served, settle
from tests.browser.test_first_day import fill, press
from tests.browser.test_photo_page import choose
from tests.first_day import EIGHT

PICTURES = Path(__file__).parents[1] / "pictures"
SIZE = {"width": 1280, "height": 800}


def keep(page, name):
    """Save what is seen as a PNG of 256 colours: a third of the size, and no difference to the eye."""
    settle(page)
    page.wait_for_timeout(700)  # plots are drawn after the page has settled
    seen = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
    seen.quantize(256, dither=Image.Dither.NONE).save(PICTURES / f"{name}.png", optimize=True)


def first_day(page, url):
    """An empty book, eight typed values, the gap."""
    page.goto(url)
    page.get_by_role("button", name="Make the first case").wait_for(timeout=PATIENCE)
    settle(page)
    press(page, "Make the first case")
    page.get_by_role("textbox", name="Target of the gum").wait_for(timeout=PATIENCE)
    settle(page)
    fill(page, "Case code", "W-2001")
    fill(page, "Target of the teeth", "72 1,5 17")
    fill(page, "Target of the gum", "52 21 14")
    press(page, "Make a case")
    fill(page, "Type or paste", EIGHT)
    press(page, "Store 8 readings")
    page.locator('.zone-row[data-key="11 middle"]').wait_for()
    keep(page, "first-day-readings")
    press(page, "Open the case")
    keep(page, "first-day-gap")


def lab(page, url):
    """A lab whose stains are known and whose firings were recorded."""
    page.goto(f"{url}/case")
    page.locator("svg.arch").wait_for(timeout=PATIENCE)
    settle(page)
    choose(page, "Case", "W-1042")
    page.get_by_text(re.compile("in 10")).first.wait_for(timeout=PATIENCE)
    page.locator('svg.arch [data-key="11 cervical"]').click()
    settle(page)
    keep(page, "case")
    page.get_by_text(re.compile("^Next steps")).first.click()
    page.locator(".step").last.wait_for()
    page.locator(".step").first.scroll_into_view_if_needed()
    page.mouse.wheel(0, 500)
    keep(page, "next-steps")
    page.goto(f"{url}/plan")
    page.get_by_role("button", name="Make the plan").click()
    page.locator("svg.arch").wait_for(timeout=PATIENCE)
    keep(page, "plan")
    for name in ("sheet", "recipes", "numbers"):
        page.goto(f"{url}/{name}")
        page.locator("h1").first.wait_for(timeout=PATIENCE)
        page.wait_for_timeout(1500)
        keep(page, name)


def main():
    """Take them all."""
    PICTURES.mkdir(exist_ok=True)
    with sync_playwright() as play, tempfile.TemporaryDirectory() as folder:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        page = browser.new_page(viewport=SIZE, color_scheme=BENCH)
        with served("--book", f"sqlite:///{folder}/lab.db", "app", "--folder", folder) as url:
            first_day(page, url)
        with served("demo") as url:
            lab(page, url)
        browser.close()


if __name__ == "__main__":
    main()
