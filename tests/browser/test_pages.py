"""Every page of the demonstration: drawn, readable, named in the menu, nothing cut off or asked of another machine.

A run looks at one theme, and asks axe-core at one size a page; both change with the commit. STAINBOOK_LOOK=all looks at
every page in both themes and three sizes.
"""

from itertools import pairwise

import pytest

from stainbook.pages.shell import help_texts as words
from stainbook.pages.shell import texts
from stainbook.pages.shell import way_texts as way_words
from tests.browser import looks
from tests.browser.conftest import BENCH, DIM, PATIENCE, entry_of, settle, turn_to
from tests.browser.test_case_page import CONTRASTS, open_case
from tests.browser.test_photo_page import choose

THEMES = (BENCH, DIM)
SEEN = THEMES if looks.everything() else (THEMES[looks.turn() % 2],)
WIDER_TABLES = """() => [...document.querySelectorAll('[data-testid=stMainBlockContainer] *')]
  .flatMap(e => e.shadowRoot ? [...e.shadowRoot.querySelectorAll('.table, .zones')] : [])
  .filter(e => e.scrollWidth > e.clientWidth + 1).map(e => e.className)"""


@pytest.fixture
def small_case(app_url, opened):
    """A function that opens the targets page of a case of three zones, whose advice is there at once."""

    def open_it(theme=BENCH, size=looks.SIZES[0], touch=False):
        page = opened(app_url, theme, size, touch)
        page.goto(f"{app_url}/targets")
        page.get_by_role("combobox", name=texts.CHOOSE_CASE).wait_for(timeout=PATIENCE)
        settle(page)
        open_case(page, "W-1051")
        return page

    return open_it


@pytest.mark.parametrize("theme", SEEN)
def test_each_page_can_be_seen_read_and_pressed(small_case, theme, tmp_path):
    page = small_case(theme, touch=True)
    wrong, here = {}, page.url
    last = sorted(texts.PAGES, key=texts.HIDDEN_PAGES.__contains__)  # by address, which begins a session anew
    for place, name in enumerate(last):
        title = texts.PAGES[name]
        page.set_viewport_size({"width": 1280, "height": 800})
        if name in texts.HIDDEN_PAGES:  # other pages lead there
            address, _, case = here.partition("?")
            page.goto(f"{address.removesuffix('targets')}{name.replace('_', '-')}?{case}")
            page.locator("h1").wait_for(timeout=PATIENCE)
        else:
            turn_to(page, title)
        page.wait_for_function("title => document.title.startsWith(title)", arg=title, timeout=PATIENCE)
        assert page.get_by_role("heading", name=title, level=1, exact=True).count() == 1, name
        if words.PAGES.get(name):
            page.get_by_text(words.HOW, exact=True).click()
            settle(page)
        assert page.locator(".help-topics svg").count() == len(words.PAGES.get(name, ())), name
        assert not page.get_by_text(texts.FAILED).count(), name
        asked = (looks.turn() + place) % len(looks.SIZES)
        for number, (width, height) in enumerate(looks.SIZES):
            page.set_viewport_size({"width": width, "height": height})
            page.wait_for_timeout(150)
            if looks.everything():
                page.screenshot(path=tmp_path / f"{name}-{width}.png")
            found = [] if page.evaluate(looks.WIDER) <= 0 else ["wider than the screen"]
            if width > 640:
                found += [f"wider than its place: {one}" for one in page.evaluate(WIDER_TABLES)]
            least = looks.FURNACE if name in texts.BENCH_PAGES else looks.FINGER
            found += [f"low: {one}" for one in page.evaluate(looks.LOW, least)]
            if looks.everything() or number == asked:
                found += looks.graves(page)
                found += [f"{word}: {it:.1f}" for word, it in page.evaluate(CONTRASTS) if it < 4.5]
            main = page.locator('[data-testid="stBaseButton-primary"]').all_inner_texts()
            if len(set(main)) > 1:  # with help, one that is shut is there twice
                found.append("more than one main thing to press")
            if found:
                wrong[name, width] = found
    assert wrong == {}


def test_the_menu_names_every_page_at_every_width(small_case):
    page = small_case()
    for width, height in looks.SIZES:
        page.set_viewport_size({"width": width, "height": height})
        page.wait_for_timeout(200)
        entry_of(page, texts.PAGES["start"])  # unfolds it on a phone
        for title in (one for name, one in texts.PAGES.items() if name not in texts.HIDDEN_PAGES):
            box = page.get_by_role("link", name=title, exact=True).bounding_box()
            assert box["x"] >= 0, (title, width)
            assert box["x"] + box["width"] <= width, (title, width)
            assert box["y"] + box["height"] <= height, (title, width)


@pytest.mark.parametrize("size", looks.SIZES, ids=str)
def test_a_message_is_seen_at_the_button_that_was_pressed(small_case, size):
    """On a form: what is typed is no colour, and the button is in the head of the page."""
    page = small_case()
    page.locator(".segment", has_text=way_words.PARTS["targets"]).click()
    settle(page)
    page.get_by_role("button", name="all teeth", exact=True).click()
    settle(page)
    choose(page, "Their target", "a reading")
    page.get_by_role("textbox", name="Name of the reading").fill("nothing such")
    page.keyboard.press("Tab")
    settle(page)
    page.set_viewport_size({"width": size[0], "height": size[1]})
    press = page.get_by_role("button", name="Set the target of 3 zones").first  # at the head; narrow, below too
    press.click()
    settle(page)
    seen_near(page, page.get_by_role("alert").filter(has_text="nothing such"), press)


def test_a_message_of_the_case_page_is_seen(small_case):
    page = small_case()
    turn_to(page, texts.PAGES["case"])
    page.locator(".next-step").wait_for(timeout=PATIENCE)
    open_case(page, "W-1063")
    page.locator(".next-step").wait_for(timeout=PATIENCE)
    page.get_by_role("button", name="Coloured with liquids").click()
    page.get_by_role("textbox").last.fill("2 coats of (1 part nosuch)")
    page.keyboard.press("Tab")
    settle(page)
    press = page.get_by_role("button", name="Coloured with liquids").last
    press.click()
    settle(page)
    seen_near(page, page.get_by_role("alert").filter(has_text="nosuch"), press)


def seen_near(page, message, button, near=200):
    """A message is wholly on the screen, and within a few lines of its button."""
    message.wait_for(timeout=PATIENCE)
    page.wait_for_timeout(300)  # it is brought into sight
    said, pressed, size = message.bounding_box(), button.bounding_box(), page.viewport_size
    assert said["y"] >= 0
    assert said["y"] + said["height"] <= size["height"] + 1
    assert said["x"] + said["width"] <= size["width"] + 1
    assert -near < said["y"] - (pressed["y"] + pressed["height"]) < near


# ---------------------------------------------------------------- one screen decides


DECIDES = (".st-key-case_head", ".swatches.large", ".gap", ".next-step")


@pytest.mark.parametrize("size", looks.SIZES[:2], ids=str)
def test_what_decides_stands_on_one_screen(open_page, size):
    page = open_page(size=size)
    for case in ("W-1042", "W-1051"):
        open_case(page, case)
        page.locator(".next-step li").first.wait_for(timeout=PATIENCE)
        for one in DECIDES:
            box = page.locator(one).bounding_box()
            assert box["y"] >= 0, (case, one)
            assert box["y"] + box["height"] <= size[1], (case, one)
        assert page.locator(".st-key-case_head").bounding_box()["height"] <= 56
        assert page.locator(".st-key-case_head").bounding_box()["y"] <= 120  # no empty room under the menu
        squares = [one.bounding_box() for one in page.locator(".swatches.large path").all()]
        well = page.locator(".swatches.large .ground").bounding_box()
        assert len(squares) == 3
        for one, other in pairwise(squares):
            assert one["x"] + one["width"] == pytest.approx(other["x"], abs=0.6)  # they touch
        side = squares[0]["width"]
        assert side >= 72
        assert squares[0]["x"] - well["x"] >= side - 1
        assert squares[0]["y"] - well["y"] >= side - 1
        assert well["y"] + well["height"] - squares[0]["y"] - side >= side - 1
    assert not page.locator(".step").first.is_visible()  # the others are there on demand


def test_the_tab_key_follows_the_eye(open_page):
    page = open_page()
    open_case(page, "W-1051")
    page.locator(".st-key-menu a").last.focus()
    seen = []
    for _ in range(8):
        page.keyboard.press("Tab")
        seen.append(page.evaluate(FOCUSED))
    tops = [top for _, top, _ in seen]
    assert [name for name, _, _ in seen][:2] == ["INPUT", "BUTTON"]  # the case, the main button
    assert all(later >= earlier - 60 for earlier, later in pairwise(tops)), seen


FOCUSED = """() => {
  let one = document.activeElement;
  while (one?.shadowRoot?.activeElement) one = one.shadowRoot.activeElement;
  const box = one.getBoundingClientRect();
  return [one.tagName, box.top + document.querySelector('[data-testid=stMain]').scrollTop, box.left];
}"""
