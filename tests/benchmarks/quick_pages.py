"""How quick the app answers a person in Chromium on a full book: ``python -m tests.benchmarks.quick_pages FOLDER``.

FOLDER holds what `full_book` made; it is made there first where it is missing. An answer is the end of the page's
run after a click, as the browser sees it; long work that shows how far it is has answered when it shows that.
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
from playwright.sync_api import Locator, Page, sync_playwright

from stainbook.pages import texts
from tests.benchmarks.full_book import make_full_book
from tests.browser.conftest import ARGUMENTS, CHROMIUM, entry_of, served

STARTS = 4  # of the command; the first one warms the machine and does not count
ROUNDS = 2
WIDE = {"width": 1900, "height": 1000}  # all pages stand in the menu
WATCH = """() => {
  const app = document.querySelector('[data-testid=stApp]');
  window.answers = {pressed: 0, ended: 0};
  document.addEventListener('pointerdown', () => { window.answers = {pressed: performance.now(), ended: 0}; }, true);
  document.addEventListener('keydown', e => {
    if (e.key === 'Enter') window.answers = {pressed: performance.now(), ended: 0};
  }, true);
  new MutationObserver(() => {
    if (app.dataset.testScriptState === 'notRunning' && !window.answers.ended) window.answers.ended = performance.now();
  }).observe(app, {attributes: true, attributeFilter: ['data-test-script-state']});
}"""
Act = Callable[[Page], None]


def first_page(url: str, folder: Path, browser) -> float:
    """Seconds from the command to the first page that is drawn."""
    began = time.perf_counter()
    with served("--book", url, "app", "--folder", str(folder)) as address:
        page = browser.new_page(viewport=WIDE)
        page.goto(address, wait_until="commit")
        page.locator('[data-key="0"]').first.wait_for(timeout=60_000)
        took = time.perf_counter() - began
        page.close()
    return took


def answer(page: Page, act: Act) -> float | None:
    """Seconds from the press to the end of the page's run; None where nothing ran."""
    act(page)
    try:
        page.wait_for_function("() => window.answers.ended > 0", timeout=60_000)
    except Exception:
        return None
    page.wait_for_timeout(250)
    seen = page.evaluate("() => window.answers")
    return (seen["ended"] - seen["pressed"]) / 1000.0


def row(page: Page, number: int) -> Locator:
    """A row of the list that is shown."""
    return page.locator(".table-row[data-key], .zone-row[data-key]").nth(number)


def acts(name: str, turn: int) -> Iterator[tuple[str, Act]]:
    """What a person presses on a page, beside opening it."""

    def fill(label: str, text: str) -> Act:
        def do(page: Page) -> None:
            page.get_by_label(label, exact=True).first.fill(text)
            page.keyboard.press("Enter")

        return do

    if name == "start":
        yield "find", fill(texts.FIND_CASE, f"Y-0498{turn}")
        yield "find all", fill(texts.FIND_CASE, "")
        yield "row", lambda page: row(page, 1 + turn).click()
    elif name == "recipes":
        yield "colour", fill(texts.FIND_COLOUR, f"7{turn},4 1,2 15,0")
        yield "row", lambda page: row(page, 2 + turn).click()
        yield "words", fill(texts.FIND_WORDS, "cervical")
        yield "no words", fill(texts.FIND_WORDS, "")
        yield "no colour", fill(texts.FIND_COLOUR, "")
    elif name == "stains":
        yield "row", lambda page: row(page, 3 + turn).click()
    elif name == "case":
        yield "zone", lambda page: row(page, 1).click()


def measure(url: str, folder: Path, browser) -> dict[str, list[float]]:
    """Answers of all pages, in seconds, by page and what was pressed."""
    found: dict[str, list[float]] = defaultdict(list)
    with served("--book", url, "app", "--folder", str(folder)) as address:
        page = browser.new_page(viewport=WIDE)
        page.goto(address)
        page.locator('[data-key="0"]').first.wait_for(timeout=60_000)
        page.evaluate(WATCH)
        page.wait_for_timeout(500)
        for turn in range(ROUNDS):
            for name, title in [*list(texts.PAGES.items())[1:], ("start", texts.PAGES["start"])]:
                link = entry_of(page, title)
                took = answer(page, lambda _, link=link: link.first.click())
                if took is not None:
                    found[f"{name}: open"].append(took)
                for what, act in acts(name, turn):
                    took = answer(page, act)
                    if took is not None:
                        found[f"{name}: {what}"].append(took)
        page.close()
    return found


def main(folder: Path) -> None:
    """Measure, and print a table."""
    url = f"sqlite:///{folder.absolute() / 'lab.db'}"
    if not (folder / "lab.db").is_file():
        folder.mkdir(parents=True, exist_ok=True)
        make_full_book(folder)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        starts = [first_page(url, folder / "recipes", browser) for _ in range(STARTS)][1:]
        print(f"first page of the command: {', '.join(f'{one:.2f}' for one in starts)} s")
        found = measure(url, folder / "recipes", browser)
        browser.close()
    for what, took in found.items():
        print(f"{what:32} {' '.join(f'{one:6.2f}' for one in took)}")
    every = np.array([one for took in found.values() for one in took])
    median, late = np.percentile(every, [50, 95])
    print(f"{len(every)} answers: median {median:.2f} s, P95 {late:.2f} s, longest {every.max():.2f} s")
    load = subprocess.run(["uptime"], capture_output=True, text=True, check=False).stdout.strip()
    print(f"machine: {load}")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
