"""What an arch costs a person on the screen: ``python -m tests.benchmarks.bench_walk [mouse|finger]``.

The arch of 59 zones from an empty case to its delivery, two firings, in Chromium on the demonstration lab: clicks,
fields, readings and keys counted, the seconds that the screen makes wait and the CPU of the server, a person's time by
the keystroke-level model (Card, Moran and Newell 1980; its times from memory), and minutes at the bench. Readings are
typed one by one as a hand types them; simulated, they come out as the sheet expected with a scatter (fixed seed).
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from playwright.sync_api import Locator, Page, sync_playwright

from stainbook.lab import Lab
from stainbook.pages.case import case_texts
from stainbook.pages.shell import texts
from stainbook.pages.shell import way_texts as words
from stainbook.work.app.demo import make_demo_book
from tests.benchmarks.quick_pages import cpu_of, server_of
from tests.browser.conftest import ARGUMENTS, CHROMIUM, PATIENCE, entry_of, served

K, P, H, M = 0.28, 1.1, 0.4, 1.35  # s: a key (or a tap), pointing, a hand to the other device, making up one's mind
SIZES = {"mouse": (1280, 800), "finger": (820, 1180)}
CODE, TEETH = "W-2001", "16-26"
TARGETS = {"front": "72,5 1,0 14,5", "canine": "70,5 1,9 17,5", "back": "71,5 1,4 16,0", "gum": "51,5 20,5 13,5"}
BEFORE = {"tooth": (75.5, 0.6, 12.5), "gingiva": (56.0, 17.0, 11.0)}
SCATTER = (0.5, 0.2, 0.4)  # L*, a*, b*, one standard deviation, of a zone about what is expected
SEATING = 2.0  # minutes of one seating of the instrument with its eight readings; common practice
WEAK = 0.4  # of the expected change: what a first firing brings whose hand was light, so that a second one follows
SEED = 2026


@dataclass
class Walk:
    """One person before one screen."""

    page: Page
    touch: bool
    counts: Counter[str] = field(default_factory=Counter)
    waited: float = 0.0
    person: float = 0.0
    slow: list[tuple[str, float]] = field(default_factory=list)
    server: int | None = None
    cpu: float = 0.0  # s, of the server, which no other work on the machine makes longer
    at_keys: bool = False  # where the hand is

    def wait(self, what: str, ready: Locator | None = None) -> None:
        """Until the page has answered, and what comes next is there."""
        began = time.perf_counter()
        if ready is not None:
            ready.first.wait_for(timeout=PATIENCE)
        calm = 0
        while calm < 2:
            busy = self.page.evaluate(
                "() => document.querySelector('[data-testid=stApp]')?.dataset.testScriptState !== 'notRunning'"
                " || Boolean(document.querySelector('[data-testid=stProgress], [data-testid=stSpinner]'))"
            )
            calm = 0 if busy else calm + 1
            time.sleep(0.05)
        took = max(time.perf_counter() - began - 0.1, 0.0)
        self.waited += took
        self.slow.append((what, took))

    def press(self, target: Locator, what: str, ready: Locator | None = None) -> None:
        """One click or tap."""
        self.counts["clicks"] += 1
        self.person += M + P + K + (H if self.at_keys and not self.touch else 0.0)
        self.at_keys = False
        target.first.tap() if self.touch else target.first.click()
        self.wait(what, ready)

    def button(self, name: str, ready: Locator | None = None) -> None:
        """A press on a button by its name."""
        self.press(self.page.get_by_role("button", name=name, exact=True), name, ready)

    def fill(self, target: Locator, text: str, what: str) -> None:
        """One field, pointed at and typed."""
        self.counts["fields"] += 1
        self.counts["keys"] += len(text) + 1
        self.person += M + P + K + (0.0 if self.touch else H) + K * (len(text) + 1)
        self.at_keys = True
        target.first.click()
        self.page.keyboard.press("Control+A")
        self.page.keyboard.type(text)
        self.page.keyboard.press("Enter")
        self.page.keyboard.press("Tab")
        self.wait(what)

    def numbers(self, text: str) -> None:
        """One reading into the field that has the focus already; on a touched screen by its key pad."""
        self.counts["readings"] += 1
        self.counts["keys"] += len(text) + 1
        self.person += M + K * (len(text) + 1)
        self.at_keys = True
        if not self.touch:
            self.page.keyboard.type(text + "\n")
            return
        for sign in text:
            name = {" ": "next", "-": "\N{MINUS SIGN}", ".": ","}.get(sign, sign)
            self.page.locator(".reader .key", has_text=name).first.tap()
        self.page.locator(".reader .on").tap()


def read_all(walk: Walk, lab: Lab, rng: np.random.Generator, *, came_out: float | None) -> None:
    """Type what the instrument shows of each zone in order.

    came_out : the share of the expected change that the firing brought; None before it
    """
    case = lab.case(CODE)
    before = {one.sample: one.got for one in case.measured.to_read()}
    zones = case.measured.to_read() if came_out is None else case.firing.to_read(case.sheet_desk.sheet_plan())
    field_ = walk.page.locator(".reader input")
    field_.wait_for(timeout=PATIENCE)
    for zone in zones:
        middle = np.array(BEFORE[zone.tissue])
        if came_out is not None and zone.expected is not None:
            was = np.array(before[zone.sample] or zone.expected.lab)
            middle = was + came_out * (np.array(zone.expected.lab) - was)
        read = middle + np.array(SCATTER) * rng.standard_normal(3)
        walk.numbers(" ".join(f"{one:.1f}" for one in read))
    walk.wait("the last reading")


def fired(walk: Walk, lab: Lab, rng: np.random.Generator, came_out: float) -> float:
    """From the plan to the recorded firing; gives the minutes of weighing and drying that the plan asks for."""
    page = walk.page
    make = page.get_by_role("button", name=case_texts.MAKE_PLAN)
    if not make.count():  # all that was read may be in tolerance
        walk.press(entry_of(page, texts.PAGES["plan"]), "plan", make)
    walk.button(case_texts.MAKE_PLAN, page.get_by_role("button", name=case_texts.TO_SHEET, exact=True))
    walk.button(case_texts.TO_SHEET, page.locator(".tick-row"))
    plan = lab.case(CODE).sheet_desk.sheet_plan()
    mixes = len(plan.pots) if plan is not None else 0
    passes = max((len(zone.layers) for zone in plan.zones), default=0) if plan is not None else 0
    painted = page.get_by_role("button", name=re.compile("^Painted as the sheet says"))
    walk.press(painted, "Painted as the sheet says", page.locator(".reader input"))
    read_all(walk, lab, rng, came_out=came_out)
    walk.press(page.get_by_role("button", name=re.compile(r"^Record \d")), "Record", page.get_by_text("Recorded:"))
    return 3.0 * mixes + 9.0 * max(passes - 1, 0)


def walked(walk: Walk, url: str, lab: Lab) -> list[float]:
    """The whole arch; gives the minutes of weighing and drying of each firing."""
    page, rng = walk.page, np.random.default_rng(SEED)
    page.goto(url)
    page.locator('[data-key="0"]').first.wait_for(timeout=PATIENCE)
    walk.wait("the first page")
    walk.waited, walk.slow, walk.server = 0.0, [], server_of(url)
    began = cpu_of(walk.server)
    new = entry_of(page, texts.PAGES["new_case"])
    if not new.is_visible():
        walk.press(page.locator("[data-testid=stTopNav], [data-testid=stExpandSidebarButton]"), "menu", new)
    walk.press(new, texts.PAGES["new_case"], page.get_by_role("button", name=texts.MAKE_CASE))
    walk.fill(page.get_by_role("textbox", name=texts.CODE), CODE, texts.CODE)
    walk.fill(page.get_by_role("textbox", name=texts.TEETH), TEETH, texts.TEETH)
    walk.button(texts.MAKE_CASE, page.get_by_role("button", name=words.SET_GROUPS))
    for group, said in TARGETS.items():
        label = str(words.TARGET_GROUPS[group].many).split(":")[0]
        walk.fill(page.get_by_role("combobox", name=label), said, group)
    walk.button(words.SET_GROUPS, page.locator(".reader input"))
    read_all(walk, lab, rng, came_out=None)
    minutes = [fired(walk, lab, rng, WEAK), fired(walk, lab, rng, 1.0)]
    there = page.get_by_role("button", name=words.DELIVER.format(case=CODE))
    if page.get_by_role("button", name=words.TO_DELIVER).count():
        walk.button(words.TO_DELIVER, there)
    else:  # a zone is off; whether it was glazed is asked once somebody accepted the piece
        walk.press(entry_of(page, texts.PAGES["deliver"]), "deliver", there)
    walk.press(page.locator("label", has_text="the clinic"), "the clinic")
    walk.button("Accepted by the clinic")
    if page.get_by_role("button", name=words.GLAZED_ALL).count():
        walk.button(words.GLAZED_ALL)
    walk.button(words.DELIVER.format(case=CODE), page.get_by_text("It is delivered"))
    walk.cpu = cpu_of(walk.server) - began
    return minutes


def measure(kind: str, pictures: Path | None = None) -> tuple[Walk, list[float]]:
    """One walk on a demonstration book of its own."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        url = make_demo_book(Path(folder))
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        width, height = SIZES[kind]
        context = browser.new_context(viewport={"width": width, "height": height}, has_touch=kind == "finger")
        with served("--book", url, "app", "--folder", folder) as address:
            walk = Walk(context.new_page(), kind == "finger")
            try:
                return walk, walked(walk, address, Lab(url))
            except BaseException:
                if pictures is not None:
                    walk.page.screenshot(path=pictures / f"stopped-{kind}.png", full_page=True)
                raise
            finally:
                browser.close()


def main(kinds: list[str]) -> None:
    """Walk, and print the table."""
    print("screen | clicks | fields | readings typed | keys | waited, s | CPU, s | person, s | at the bench, min")
    for kind in kinds:
        walk, minutes = measure(kind, Path(os.environ["WALK_PICTURES"]) if "WALK_PICTURES" in os.environ else None)
        own = (walk.person + walk.waited) / 60.0
        seatings = SEATING * (len(minutes) + 1)
        bench = f"{own + seatings + sum(minutes):.0f} = {own:.1f} screen + {seatings:.0f} readings + " + " + ".join(
            f"{one:.0f}" for one in minutes
        )
        told = [str(walk.counts[one]) for one in ("clicks", "fields", "readings", "keys")]
        print(
            " | ".join(
                [f"{kind} {SIZES[kind]}", *told, f"{walk.waited:.1f}", f"{walk.cpu:.1f}", f"{walk.person:.0f}", bench]
            )
        )
        longest = sorted(walk.slow, key=lambda one: -one[1])[:6]
        print("  longest waits:", "; ".join(f"{what} {took:.1f}" for what, took in longest))
    load = subprocess.run(["uptime"], capture_output=True, text=True, check=False).stdout.strip()
    print(f"machine: {load}")


if __name__ == "__main__":
    main(sys.argv[1:] or list(SIZES))
