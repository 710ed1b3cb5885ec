"""Many sessions plan at once, others click elsewhere: ``python -m tests.benchmarks.planning_at_once [ROUNDS] [NICE]``.

One PostgreSQL book of the demonstration lab (simulated) holds twenty cases of six zones. One process, as the app is
one, lets twenty sessions ask for a plan of four mixes at the same moment, without a worker and with one and two, while
a page of another case is drawn again and again: case, result, readings. A process of its own each time; the ways are
taken in turn, so that what else the machine does meets all of them; medians over the rounds. NICE puts the workers
behind the app on the same machine (10 where none is given): workers elsewhere would take none of its processors.
"""

from __future__ import annotations

import json
import logging
import os
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from statistics import median
from typing import Any

from tests.benchmarks.redraws import of_case
from tests.conftest import _server_binaries, _throwaway_server

SESSIONS, MIXES, ZONES = 20, 4, 6
ELSEWHERE, WHOLE = "W-1063", "W-1042"
PAGES = ("case", "result", "readings")
PAUSE = 0.2  # seconds between two clicks
ALONE = 60  # clicks
WAYS = {"alone": None, "in the app": 0, "one worker": 1, "two workers": 2}
ROOT = Path(__file__).parents[2]


def fill(url: str) -> None:
    """The demonstration lab, and a case for each session with zones of its whole arch, each from another tooth on."""
    from stainbook.book import open_book
    from stainbook.work.app.demo import _fill
    from stainbook.work.app.shipped import shipped
    from stainbook.work.case.open_case import open_as

    with open_book(url, author="bench-1") as book:
        _fill(book, shipped("recipes"), lambda said: None)
        arch = book.cases()[WHOLE]
        read = [zone for zone in arch.zones if zone.like is None]
        with book.transaction() as step:
            for i in range(SESSIONS):
                zones = [read[(2 * i + n) % len(read)] for n in range(ZONES)]
                open_as(step, replace(arch, case=f"P-{i + 1}", zones=tuple(zones), mark=""))


@contextmanager
def working(url: str, workers: int, nice: int) -> Iterator[None]:
    """So many workers, once each has said that it began."""
    command = ["nice", "-n", str(nice), sys.executable, "-m", "stainbook", "--book", url, "worker"]
    begun = [subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT) for _ in range(workers)]
    try:
        for one in begun:
            one.stdout.readline()
        yield
    finally:
        for one in begun:
            one.terminate()
        for one in begun:
            one.wait()
            one.stdout.close()


def clicks(pages: list[object], until: threading.Event, least: int) -> list[float]:
    """Seconds of each redraw, page after page, until the others are done."""
    took: list[float] = []
    while len(took) < least or not until.is_set():
        began = time.perf_counter()
        pages[len(took) % len(pages)].run()
        took.append(time.perf_counter() - began)
        time.sleep(PAUSE)
    return took


def elsewhere() -> list[Any]:
    """Pages of another case, drawn twice more once their work is done."""
    from stainbook.pages.case import case_page

    rooms = Path(case_page.__file__).parents[1]
    return [of_case(next(rooms.rglob(f"{name}_page.py")), ELSEWHERE).run().run() for name in PAGES]


def measure(plans: bool) -> dict[str, object]:
    """Clicks, and seconds until each of the sessions had its plan."""
    from stainbook.lab import Lab

    logging.disable(logging.CRITICAL)
    lab, pages = Lab.open(os.environ["STAINBOOK_BOOK"]), elsewhere()
    over, took, told = threading.Event(), [], set()

    def session(i: int) -> None:
        job = lab.case(f"P-{i + 1}").desk.plan(MIXES)
        job.result()
        took.append(time.perf_counter() - began)
        told.add(str(job.watch.told))

    began = time.perf_counter()
    threads = [threading.Thread(target=session, args=(i,)) for i in range(SESSIONS if plans else 0)]
    for one in threads:
        one.start()
    ends = threading.Thread(target=lambda: ([one.join() for one in threads], over.set()))
    ends.start()
    found = clicks(pages, over, 0 if plans else ALONE)
    ends.join()
    lab.close()
    return {"clicks": found, "plans": sorted(took), "told": sorted(told)}


def measured(url: str, workers: int | None, nice: int) -> dict[str, list[float]]:
    """`measure` in a process of its own."""
    environment = {**os.environ, "STAINBOOK_BOOK": url, "OMP_NUM_THREADS": "1"}
    script = "import sys, json; from tests.benchmarks import planning_at_once as one; "
    script += f"print(json.dumps(one.measure({workers is not None})))"
    with working(url, workers or 0, nice):
        done = subprocess.run([sys.executable, "-c", script], cwd=ROOT, env=environment, text=True, capture_output=True)
    if done.returncode or "Traceback" in done.stderr:
        sys.exit(done.stderr[-4000:])
    found: dict[str, list[float]] = json.loads(done.stdout.splitlines()[-1])
    return found


def ninth(values: list[float]) -> float:
    """What nine in ten are below."""
    return sorted(values)[int(0.9 * len(values))]


def main(rounds: int = 3, nice: int = 10) -> None:
    """Measure in turn, and print medians over the rounds."""
    with _throwaway_server(_server_binaries()) as server:
        url = f"{server}/postgres"
        fill(url)
        taken = []
        for _ in range(rounds):
            taken.append({way: measured(url, workers, nice) for way, workers in WAYS.items()})
            tell(taken)


def tell(taken: list[dict[str, dict[str, list[float]]]]) -> None:
    """Print medians over the rounds so far."""
    load, rounds = os.getloadavg()[0], len(taken)
    print(f"{SESSIONS} plans of {MIXES} mixes, {ZONES} zones each; {rounds} rounds, medians; load {load:.1f}")
    print(f"{'':12} {'clicks':>7} {'ms':>6} {'9 in 10':>8} {'times alone':>12} {'plans, s':>13} {'half of them':>13}")
    for way in WAYS:
        each = [one[way]["clicks"] for one in taken]
        times = median(median(one[way]["clicks"]) / median(one["alone"]["clicks"]) for one in taken)
        line = f"{way:12} {sum(map(len, each)):7} {1000 * median(map(median, each)):6.0f} "
        line += f"{1000 * median(map(ninth, each)):8.0f} {times:12.2f}"
        plans = [one[way]["plans"] for one in taken]
        if plans[0]:
            line += f" {median(max(one) for one in plans):13.1f} {median(map(median, plans)):13.1f}"
        print(line, *{said for one in taken for said in one[way]["told"] if said}, flush=True)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
