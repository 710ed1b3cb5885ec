"""The case page in a real Chromium: by mouse, by key and by finger, in both themes."""

import re
from itertools import combinations

import pytest

from tests.browser.conftest import BENCH, DIM, settle

SIZES = {"bench screen": (1280, 800), "tablet": (1024, 768)}


def zone(page, key):
    return page.locator(f'svg [data-key="{key}"]')


def open_case(page, name):
    page.locator(".st-key-case_file input").click()
    page.get_by_role("option", name=name).click()
    settle(page)


def unfold_steps(page):
    """All steps of the zone; one of them is in sight without that."""
    if not page.locator(".step").first.is_visible():
        page.locator(".st-key-all-steps summary").click()
        page.locator(".step").first.wait_for()


def heading(page):
    return page.locator(".zone-detail h2").inner_text()


def test_tapping_a_zone_shows_it_everywhere(open_page):
    page = open_page()
    zone(page, "21 middle").click()
    settle(page)
    assert heading(page) == "21 middle"
    assert page.get_by_text("Next steps: 21 middle").is_visible()
    assert zone(page, "21 middle").get_attribute("aria-selected") == "true"
    row = page.locator('.zone-row[data-key="21 middle"]')
    assert row.get_attribute("aria-checked") == "true"
    listed = page.locator(".zones").bounding_box()
    box = row.bounding_box()
    assert listed["y"] <= box["y"] <= listed["y"] + listed["height"] - box["height"]  # scrolled to where it is seen


def test_choosing_a_step_shows_its_colour(open_page):
    page = open_page()
    open_case(page, "W-1051")
    unfold_steps(page)
    step = page.locator('.step[data-key="3"]')
    small = step.locator(".swatches path").nth(1).get_attribute("fill")
    page.locator('.step[data-key="1"]').click()  # whatever was chosen before
    settle(page)
    before = page.locator(".swatches.large").inner_html()
    step.click()
    settle(page)
    assert step.get_attribute("aria-checked") == "true"
    assert page.locator(".swatches.large").inner_html() != before
    assert page.locator(".swatches.large path").nth(1).get_attribute("fill") == small
    zone(page, "11 middle").click()
    settle(page)
    zone(page, "11 cervical").click()
    settle(page)
    unfold_steps(page)
    assert page.locator('.step[data-key="3"]').get_attribute("aria-checked") == "true"  # remembered by zone


def test_keys_walk_along_the_arch(open_page):
    page = open_page()
    zone(page, "12 middle").click()
    settle(page)
    for key, reached in (("ArrowRight", "11 middle"), ("ArrowRight", "21 middle"), ("ArrowUp", "21 cervical")):
        page.keyboard.press(key)
        settle(page)
        assert heading(page) == reached
        focused = page.evaluate(
            "() => { let e = document.activeElement; while (e?.shadowRoot) e = e.shadowRoot.activeElement;"
            " return e?.dataset.key }"
        )
        assert focused == reached  # the rerun took no focus away


def test_one_tab_stop_for_each_group(open_page):
    page = open_page()
    unfold_steps(page)
    assert page.locator('svg.arch [data-key][tabindex="0"]').count() == 1
    assert page.locator('.step[tabindex="0"]').count() == 1
    assert page.locator('.zone-row[tabindex="0"]').count() == 1


def test_names_for_screen_readers(open_page):
    page = open_page()
    arch = page.get_by_role("listbox", name=re.compile("zones of the case; arrow keys"))
    assert (
        arch.get_by_role(
            "option", name=re.compile(r"^11 incisal: (no visible difference|in tolerance), ΔE00 \d\.\d$")
        ).count()
        == 1
    )
    unfold_steps(page)
    steps = page.get_by_role("radiogroup", name=re.compile("next steps for this zone"))
    assert steps.get_by_role("radio").count() >= 1
    assert page.get_by_role("img", name=re.compile(r"now: L\* .*; predicted: L\* .*; target: L\* ")).count() >= 1


def test_fill_of_the_arch(open_page):
    page = open_page()
    page.locator('.segment[data-key="difference"]').click()
    settle(page)
    values = page.locator("svg.arch text.value").all_text_contents()
    assert len(values) == 48
    assert all(re.fullmatch(r"\d+\.\d", value) for value in values)
    now = zone(page, "11 middle").get_attribute("style")
    page.locator('.segment[data-key="target"]').click()
    settle(page)
    assert zone(page, "11 middle").get_attribute("style") != now


def test_planes_have_equal_axes(open_page):
    """One unit is as many pixels across as up, in both planes."""
    page = open_page(size=(1280, 2600))
    plots = page.locator("[data-testid=stVegaLiteChart] svg")
    plots.nth(1).wait_for()
    for place in (0, 1):
        background = plots.nth(place).locator("path.background").first.bounding_box()
        assert background["width"] == pytest.approx(background["height"], abs=1.0)
        steps = []
        for axis, side in (("x", "x"), ("y", "y")):
            group = plots.nth(place).locator(f'g[aria-label^="{axis.upper()}-axis"] .role-axis-label text')
            labels = [(float(t.text_content().replace("−", "-")), t.bounding_box()) for t in group.all()]
            (low, first), (high, last) = labels[0], labels[-1]
            size = "width" if side == "x" else "height"
            run = abs((last[side] + last[size] / 2) - (first[side] + first[size] / 2))
            steps.append(run / (high - low))
        assert steps[0] == pytest.approx(steps[1], rel=0.03)  # labels are placed to half a pixel


@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES)
def test_nothing_is_cut_off_or_overlaps(open_page, size, tmp_path):
    width, _ = size
    page = open_page(BENCH, (width, 3400))  # themes differ in colours alone
    open_case(page, "W-1051")
    unfold_steps(page)
    page.screenshot(path=tmp_path / "page.png")
    inside = page.locator("[data-testid=stMainBlockContainer]").bounding_box()
    for one in page.locator(".step, .zone-row, .facts, .whole, .zone-detail, svg.row, .legend li").all():
        box = one.bounding_box()
        assert box["x"] >= inside["x"] - 1
        assert box["x"] + box["width"] <= inside["x"] + inside["width"] + 1
    cut = "e => e.scrollWidth > e.clientWidth + 1"
    assert not any(cell.evaluate(cut) for cell in page.locator(".zone-row span, .step .words, .chance, .zones").all())
    cells = [cell.bounding_box() for cell in page.locator('.step[data-key="1"] > *').all()]
    assert not any(_overlap(one, other) for one, other in combinations(cells, 2))


def _overlap(one, other):
    across = min(one["x"] + one["width"], other["x"] + other["width"]) - max(one["x"], other["x"])
    down = min(one["y"] + one["height"], other["y"] + other["height"]) - max(one["y"], other["y"])
    return across > 1 and down > 1


@pytest.mark.parametrize("theme", [BENCH, DIM])
def test_words_stand_out_in_either_theme(open_page, theme):
    """WCAG 2: text at 4.5 on its ground, for all words of the page's own."""
    page = open_page(theme)
    unfold_steps(page)
    found = page.evaluate(CONTRASTS)
    assert len(found) > 50
    assert {word: round(contrast, 2) for word, contrast in found if contrast < 4.5} == {}


def test_by_finger_on_a_tablet(open_page):
    page = open_page(size=SIZES["tablet"], touch=True)
    under_signs = page.evaluate(UNDER_SIGNS)
    assert len(under_signs) == 48
    assert [found for key, found in under_signs if found != key] == []  # each zone can be hit where its sign stands
    box = page.locator("svg.arch .sign").nth([key for key, _ in under_signs].index("13 attached")).bounding_box()
    page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    settle(page)
    assert heading(page) == "13 attached gum"
    unfold_steps(page)
    smallest = page.evaluate(
        "() => Math.min(...[...document.querySelectorAll('*')].flatMap(e => e.shadowRoot ? "
        "[...e.shadowRoot.querySelectorAll('.step, .zone-row, .segment')] : [])"
        ".map(e => e.getBoundingClientRect().height))"
    )
    assert smallest >= 44  # px, a fingertip


UNDER_SIGNS = """() => {
  const root = [...document.querySelectorAll('*')].map(e => e.shadowRoot).find(r => r?.querySelector('svg.arch'));
  const keys = [...root.querySelectorAll('svg.arch .zone')].map(e => e.dataset.key);
  return [...root.querySelectorAll('svg.arch .sign')].map((sign, place) => {
    const box = sign.getBoundingClientRect();
    const hit = root.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
    return [keys[place], hit?.dataset.key];
  });
}"""

CONTRASTS = """() => {
  const roots = [...document.querySelectorAll('*')].map(e => e.shadowRoot).filter(Boolean);
  const parse = c => (c.match(/[\\d.]+/g) || []).map(Number);
  const light = ([r, g, b]) => [r, g, b].map(v => v / 255)
    .map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)
    .reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
  const ground = e => {
    for (let at = e; at; at = at.parentElement || at.getRootNode().host) {
      const c = parse(getComputedStyle(at).backgroundColor);
      if (c.length === 3 || c[3] > 0.99) return c;
    }
    return [255, 255, 255];
  };
  const out = [];
  for (const root of roots) for (const e of root.querySelectorAll('.stainbook *')) {
    if (e instanceof SVGElement || !e.offsetParent) continue;
    const own = [...e.childNodes].filter(n => n.nodeType === 3).map(n => n.data.trim()).join('');
    if (!own) continue;
    const [a, b] = [light(parse(getComputedStyle(e).color)), light(ground(e))];
    out.push([own, (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05)]);
  }
  return out;
}"""
