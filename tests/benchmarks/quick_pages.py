"""How quick the app answers a person in Chromium on a full book: ``python -m tests.benchmarks.quick_pages FOLDER``.

FOLDER holds what `full_book` made; it is made there first where it is missing. An answer is the end of the page's
run after a click, as the browser sees it; long work that shows how far it is has answered when it shows that.
"""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from playwright.sync_api import Error as PlaywrightError
from playwright.sync_api import Locator, Page, sync_playwright

from stainbook.pages.shell import texts
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


@dataclass(frozen=True)
class Answer:
    """Seconds from the press to the end of the page's run, and of CPU that the server took for it (Linux, else 0)."""

    wall: float
    cpu: float


def server_of(address: str) -> int | None:
    """The process that serves an address."""
    wanted = f"--server.port\0{address.rsplit(':', 1)[1]}\0".encode()
    for command in Path("/proc").glob("[0-9]*/cmdline"):
        with contextlib.suppress(OSError):
            if wanted in command.read_bytes():
                return int(command.parent.name)
    return None


def cpu_of(process: int | None) -> float:
    """Seconds of CPU that a process has taken."""
    if process is None:
        return 0.0
    fields = Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def first_page(url: str, folder: Path, browser) -> Answer:
    """From the command to the first page that is drawn."""
    page = browser.new_page(viewport=WIDE)
    began = time.perf_counter()
    command = [sys.executable, "-m", "stainbook", "--book", url, "app", "--folder", str(folder), "--port", "0"]
    command += ["--no-browser"]
    app = subprocess.Popen(
        command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    )
    try:
        address = app.stdout.readline().split()[3]
        while True:  # until the server listens
            with contextlib.suppress(PlaywrightError):
                page.goto(address, wait_until="commit")
                break
            time.sleep(0.02)
        page.locator('[data-key="0"]').first.wait_for(timeout=60_000)
        return Answer(time.perf_counter() - began, cpu_of(app.pid))
    finally:
        page.close()
        app.terminate()
        app.wait()
        app.stdout.close()


def answer(page: Page, act: Act, server: int | None) -> Answer | None:
    """What an act of a person took; None where nothing ran."""
    before = cpu_of(server)
    act(page)
    try:
        page.wait_for_function("() => window.answers.ended > 0", timeout=60_000)
    except Exception:
        return None
    took = cpu_of(server) - before
    page.wait_for_timeout(250)
    seen = page.evaluate("() => window.answers")
    return Answer((seen["ended"] - seen["pressed"]) / 1000.0, took)


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


def measure(url: str, folder: Path, browser) -> dict[str, list[Answer]]:
    """Answers of all pages by page and what was pressed."""
    found: dict[str, list[Answer]] = defaultdict(list)
    with served("--book", url, "app", "--folder", str(folder)) as address:
        page, server = browser.new_page(viewport=WIDE), server_of(address)
        page.goto(address)
        page.locator('[data-key="0"]').first.wait_for(timeout=60_000)
        page.evaluate(WATCH)
        page.wait_for_timeout(500)
        in_menu = [one for one in texts.PAGES.items() if one[0] not in texts.HIDDEN_PAGES]
        for turn in range(ROUNDS):
            for name, title in [*in_menu[1:], in_menu[0]]:
                link = entry_of(page, title)
                took = answer(page, lambda _, link=link: link.first.click(), server)
                if took is not None:
                    found[f"{name}: open"].append(took)
                for what, act in acts(name, turn):
                    took = answer(page, act, server)
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
        print(f"first page of the command: {', '.join(f'{one.wall:.2f} ({one.cpu:.2f})' for one in starts)} s (CPU)")
        found = measure(url, folder / "recipes", browser)
        browser.close()
    for what, took in found.items():
        print(f"{what:24} {'  '.join(f'{one.wall:5.2f} ({one.cpu:4.2f})' for one in took)}")
    every = [one for took in found.values() for one in took]
    for name, values in (("wall", [one.wall for one in every]), ("CPU of the server", [one.cpu for one in every])):
        median, late = np.percentile(values, [50, 95])
        print(f"{len(every)} answers, {name}: median {median:.2f} s, P95 {late:.2f} s, longest {max(values):.2f} s")
    load = subprocess.run(["uptime"], capture_output=True, text=True, check=False).stdout.strip()
    print(f"machine: {load}")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
