"""From the case to the bench sheet in a real Chromium: by mouse, by finger and by keys."""

import re

from tests.browser.conftest import settle
from tests.browser.test_case_page import open_case, unfold_steps, zone

CHOSEN = 'svg [data-key][aria-selected="true"]'


def press(page, name):
    page.get_by_role("button", name=name, exact=True).click()
    settle(page)


def chosen(page):
    return sorted(page.locator(CHOSEN).evaluate_all("all => all.map(one => one.dataset.key)"))


def part(page, label, word):
    page.get_by_role("radiogroup", name=label).first.get_by_text(word, exact=True).click()
    settle(page)


def test_by_mouse_from_the_case_to_the_bench_sheet(open_page):
    page = open_page()
    open_case(page, "W-1051")
    zone(page, "11 middle").click()
    settle(page)
    zone(page, "11 cervical").click(modifiers=["Shift"])
    settle(page)
    assert chosen(page) == ["11 cervical", "11 middle"]
    press(page, "Mix by hand")
    page.locator('.chip[data-key="peat"]').click()
    settle(page)
    before = page.locator('.step[data-key="yours"]').inner_html()
    part(page, "Coats", "3")
    part(page, "Share of peat", "1/8")
    after = page.locator('.step[data-key="yours"]')
    assert after.inner_html() != before
    assert "3 coats of (1 part peat + 7 parts clear)" in after.inner_text().replace("\u00a0", " ")
    assert page.locator('.step[data-key="best"]').count() == 1
    press(page, "Use this for all 2 zones")
    unfold_steps(page)
    assert page.locator('.step[data-key="chosen"]').get_attribute("aria-checked") == "true"

    page.get_by_role("link", name="Plan", exact=True).click()
    settle(page)
    press(page, "Make the plan")
    page.get_by_role("button", name="Use these as next steps").wait_for()
    page.locator('.segment[data-key="mix 0"]').click()
    settle(page)
    assert page.locator("svg .value").count() >= 1
    press(page, "Use these as next steps")
    press(page, "Bench sheet")
    sheet = page.locator(".sheet")
    assert "Mix first" in sheet.inner_text()
    smallest = sheet.evaluate(
        "e => Math.min(...[...e.querySelectorAll(':not(svg, svg *)')]"
        ".map(x => parseFloat(getComputedStyle(x).fontSize)))"
    )
    assert smallest >= 14 / 72 * 96 - 0.01  # 14 pt in CSS px
    with page.expect_download() as download:
        page.get_by_role("button", name="Sheet to print").click()
    assert download.value.suggested_filename == "bench-W-1051.html"

    press(page, "Back to the case")
    for key in ("11 cervical", "11 incisal"):
        zone(page, key).click(modifiers=["Shift"])
        settle(page)
    assert len(chosen(page)) >= 2
    press(page, "Back to the first proposal")


def test_by_keys_the_choice_is_extended(open_page):
    page = open_page()
    zone(page, "12 middle").click()
    settle(page)
    for key in ("Shift+ArrowRight", "Shift+ArrowRight"):
        page.keyboard.press(key)
        settle(page)
    assert chosen(page) == ["11 middle", "12 middle", "21 middle"]
    assert page.get_by_text(re.compile("Next steps: 21 middle and 2 more")).is_visible()
    page.keyboard.press("ArrowUp")
    settle(page)
    assert chosen(page) == ["21 cervical"]
    assert page.get_by_role("option", name=re.compile("^21 cervical: ")).get_attribute("aria-selected") == "true"


def test_by_finger_zones_are_added_and_a_mix_is_changed(open_page):
    page = open_page(size=(1280, 800), touch=True)
    open_case(page, "W-1051")
    zone(page, "11 middle").tap()
    settle(page)
    page.get_by_text("Choose more zones").tap()
    settle(page)
    zone(page, "11 cervical").tap()
    settle(page)
    assert chosen(page) == ["11 cervical", "11 middle"]
    zone(page, "11 cervical").tap()  # off again
    settle(page)
    assert chosen(page) == ["11 middle"]
    page.get_by_role("button", name="Change this step", exact=True).tap()
    settle(page)
    targets = page.evaluate(
        "() => [...document.querySelectorAll('*')].flatMap(e => e.shadowRoot ? "
        "[...e.shadowRoot.querySelectorAll('.chip, .choice .segment')] : [])"
        ".map(e => e.getBoundingClientRect()).map(box => Math.min(box.width, box.height))"
    )
    assert len(targets) > 15
    assert min(targets) >= 44
    before = page.locator('.step[data-key="yours"]').inner_html()
    coats = page.get_by_role("radiogroup", name="Coats").first
    coats.locator('[data-key][aria-checked="false"]').first.tap()
    settle(page)
    assert page.locator('.step[data-key="yours"]').inner_html() != before
    page.get_by_role("button", name="Close", exact=True).tap()
    settle(page)
