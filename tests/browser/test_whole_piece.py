"""Wrong advice 5 to 8 where it stood, in a real Chromium: plans that are no one piece, zones that follow a neck."""

from __future__ import annotations

import re

from stainbook.pages.shell import texts
from tests.browser.conftest import PATIENCE, settle, turn_to
from tests.browser.test_wrong_advice import MAIN, app, bench, choose_case, life_lab, seen, shown
from tests.life.bench import zone
from tests.life.test_green import arch_on
from tests.life.test_like import PREMOLAR_OCCLUSAL, READ, arch
from tests.life.test_plans import PAIRS, mirrored

__all__ = ["bench", "life_lab"]
THERE = (74.0, 1.2, 15.0)


def planned(page, code):
    """The plan of a case, made on its page: what the arch says is painted on each zone."""
    choose_case(page, code)
    page.locator(MAIN).get_by_role("button", name=re.compile("make the plan", re.I)).click()
    page.locator('svg [data-key="11 middle"]').first.wait_for(timeout=PATIENCE)
    settle(page)
    named = page.locator("svg [data-key][aria-label]").evaluate_all(
        "zones => zones.map(one => [one.dataset.key, one.getAttribute('aria-label')])"
    )
    return {key: label.split(": ", 1)[1].split(";")[0] for key, label in named}


def test_wrong_05_to_08_plans_and_zones_of_one_piece(bench, opened):
    zones = [zone(11, "middle", now=THERE, target=(70.0, 2.4, 19.0)), zone(21, "middle", now=THERE, target=THERE)]
    bench.open("W-7", zones, stage="stained")
    bench.run("case", "open", mirrored(bench))
    bench.open("W-9", arch(READ | PREMOLAR_OCCLUSAL), stage="stained", readings="short")
    bench.open("W-2", arch_on("reed"), stage="green")
    with app(bench) as url:
        page = opened(url)
        shown(page, url, "plan")
        met = planned(page, "W-7")  # 5: what needs nothing gets nothing
        assert "mix" in met["11 middle"]
        assert "mix" not in met["21 middle"]
        alike = planned(page, "W-8")  # 6: left as right, gum from tooth to tooth
        assert len({said for key, said in alike.items() if key.endswith("attached")}) == 1
        for tooth, name in PAIRS:
            assert alike[f"{tooth} {name}"] == alike[f"{tooth + 10} {name}"]
        turn_to(page, texts.PAGES["case"])
        choose_case(page, "W-9")  # 7: a biting face follows a biting face
        page.locator('svg [data-key="16 occlusal"]').click()
        settle(page)
        assert "like 15 occlusal" in seen(page)
        choose_case(page, "W-2")  # 8: one blank a piece, and that no liquid brings gum there
        settle(page)
        page.locator('svg [data-key="11 attached"]').click()
        settle(page)
        assert "no liquid" in seen(page)
