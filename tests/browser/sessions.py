"""Several browser sessions doing the whole job at once on one book: is anything mixed up or lost?

``python -m tests.browser.sessions [SECONDS] [SESSIONS]`` starts a PostgreSQL server and an app for each of two benches,
and lets the sessions make cases, read, paint, fire, record and look up until the time is over.
"""

from __future__ import annotations

import asyncio
import contextlib
import re
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from playwright.async_api import Page, async_playwright

from stainbook.book import open_book
from stainbook.pages.shell import texts
from stainbook.work.case.current_case import known_case
from stainbook.work.lab.verify_book import verify
from tests.browser.conftest import ARGUMENTS, CHROMIUM, served
from tests.conftest import _server_binaries, _throwaway_server

PATIENCE = 90_000  # ms, on a busy machine
ZONES = ("cervical", "middle", "incisal", "attached", "papilla")  # that are read on one tooth and its gum
TARGET = "72 1,5 17"


@dataclass
class Done:
    """One case of one session: what was typed before and after its firing."""

    case: str
    stain: str
    before: list[tuple[float, float, float]]
    after: tuple[float, float, float]


@dataclass
class Session:
    """One person at one bench; every number they type is theirs alone."""

    number: int
    url: str
    done: list[Done] = field(default_factory=list)
    found: int = 0

    async def work(self, page: Page, until: float) -> None:
        """Case after case, until the time is over; one at least."""
        while not self.done or time.monotonic() < until:
            await self._case(page, len(self.done) + 1)

    async def _case(self, page: Page, turn: int) -> None:
        code, stain = f"S{self.number}-{turn}", f"stain-{self.number}"
        before = [(70.0 + place, self.number / 10, turn / 10) for place in range(len(ZONES))]
        after = (71.5, self.number / 10, 10.0 + turn / 10)
        await page.goto(f"{self.url}/new-case", timeout=PATIENCE)
        await page.get_by_role("button", name=texts.MAKE_CASE, exact=True).wait_for(timeout=PATIENCE)
        await _settled(page)
        await _fill(page, texts.CODE, code)
        await _fill(page, texts.TEETH, "11")
        await _fill(page, texts.TARGET_OF["tooth"], TARGET)
        await _press(page, texts.MAKE_CASE)
        await _fill(page, "Type or paste", "\n".join(" ".join(map(str, one)) for one in before))
        await _press(page, f"Store {len(ZONES)} readings")
        await _press(page, texts.TO_CASE)
        await _turn_to(page, "result")
        await page.locator('.fired [data-key="11 cervical"]').click()
        await _settled(page)
        await _fill(page, "Painted on 11 cervical", f"2 × 1 {stain} + 7 clear")
        if turn == 1:
            await page.get_by_text(f"{stain}: enter as new stains of the lab").click()
            await _settled(page)
        await _press(page, "Painted, into the furnace: 1 zone")
        field = page.get_by_role("textbox", name="L* a* b* of 11 cervical")
        await field.fill(" ".join(map(str, after)), timeout=PATIENCE)
        await field.press("Enter")
        await _settled(page)
        await _press(page, "Record 1 zone")
        await page.get_by_text(f"Recorded: 1 zone of {code}").wait_for(timeout=PATIENCE)
        self.done.append(Done(code, stain, before, after))
        await _turn_to(page, "recipes")
        await _fill(page, texts.FIND_WORDS, code.split("-")[0])
        self.found += await self._own_rows(page)

    async def _own_rows(self, page: Page) -> int:
        """How many rows a search for one's own cases shows, once it shows none of the others."""
        until = time.monotonic() + PATIENCE / 1000
        while True:
            rows = await page.locator(".found .table-row").all_inner_texts()
            if rows and all(re.search(rf"\bS{self.number}-\d", row) for row in rows):
                return len(rows)
            assert time.monotonic() < until, f"session {self.number} looked for its own cases and is shown {rows}"
            await page.wait_for_timeout(300)


async def _settled(page: Page) -> None:
    await page.wait_for_timeout(250)
    await page.locator('[data-testid=stApp][data-test-script-state="notRunning"]').wait_for(timeout=PATIENCE)
    await page.wait_for_timeout(100)


async def _press(page: Page, name: str) -> None:
    await page.get_by_role("button", name=name, exact=True).click(timeout=PATIENCE)
    await _settled(page)


async def _fill(page: Page, name: str, text: str) -> None:
    await page.get_by_role("textbox", name=name).first.fill(text, timeout=PATIENCE)
    await page.keyboard.press("Tab")
    await _settled(page)


async def _turn_to(page: Page, name: str) -> None:
    """Another page of the menu, within the session."""
    title = texts.PAGES[name]
    await page.get_by_role("link", name=title, exact=True).click(timeout=PATIENCE)
    await page.wait_for_function("title => document.title.startsWith(title)", arg=title, timeout=PATIENCE)
    await _settled(page)


async def _all(sessions: Sequence[Session], seconds: float) -> None:
    async with async_playwright() as playwright:
        browser = await playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        pages = [await (await browser.new_context()).new_page() for _ in sessions]
        until = time.monotonic() + seconds
        await asyncio.gather(*(one.work(page, until) for one, page in zip(sessions, pages, strict=True)))
        await browser.close()


def run(book: str, folder: Path, *, seconds: float, sessions: int, benches: int = 2) -> list[Session]:
    """Let sessions work on one book, each bench with an app of its own, and check the book afterwards."""
    with contextlib.ExitStack() as apps:
        urls = [apps.enter_context(served("--book", book, "app", "--folder", str(folder))) for _ in range(benches)]
        working = [Session(number, urls[number % benches]) for number in range(1, sessions + 1)]
        asyncio.run(_all(working, seconds))
    check(book, working)
    return working


def check(url: str, sessions: Sequence[Session]) -> None:
    """Everything that a session was told is recorded is there once, with its own numbers; nothing else is."""
    with open_book(url) as book:
        outcomes = {one.case: one for one in book.outcomes()}
        assert len(book.outcomes()) == len(outcomes) == sum(len(one.done) for one in sessions)
        for session in sessions:
            for one in session.done:
                outcome = outcomes[one.case]
                assert outcome.after.lab == one.after, one
                assert outcome.before is not None
                assert outcome.before.lab == one.before[0], one
                assert [name for layer in outcome.layers for name in layer.pot.stains] == [one.stain]
                for zone, lab in zip(ZONES, one.before, strict=True):
                    assert lab in [reading.lab for reading in book.readings(f"{one.case}-11-{zone}")], one
                assert known_case(book, one.case).state.zones[11, "cervical"].firings == 1
        found = verify(book)
        assert found.ok, found.faults


@contextlib.contextmanager
def _database() -> Iterator[str]:
    binaries = _server_binaries()
    if binaries is None:
        sys.exit("no PostgreSQL server on this machine (apt-get install postgresql)")
    with _throwaway_server(binaries) as server:
        yield f"{server}/postgres"


def main(seconds: float = 180.0, sessions: int = 5) -> None:
    """Run, and tell what was done."""
    with _database() as url, tempfile.TemporaryDirectory() as place:
        began = time.monotonic()
        done = run(url, Path(place), seconds=seconds, sessions=sessions)
        cases = [len(one.done) for one in done]
        print(
            f"{sessions} sessions, {time.monotonic() - began:.0f} s: {sum(cases)} cases ({cases}) from prescription to "
            "recorded firing; each found again with its own numbers, the book's chain whole"
        )


if __name__ == "__main__":
    main(*(kind(value) for kind, value in zip((float, int), sys.argv[1:], strict=False)))
