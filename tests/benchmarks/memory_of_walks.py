"""What a walk through a case leaves in memory: ``python -m tests.benchmarks.memory_of_walks [WALKS] [--objects]``.

Each walk is a session of its own on the demonstration lab (simulated): a case made, five zones read, its advice and a
plan worked out, painted, fired, recorded and looked up, then delivered. All pages are drawn by Streamlit's own test
runner in this process, as the app draws them in its. The slope is that of a straight line through the memory that is
this process's alone (Linux), after the first fifth of the walks; its doubt is from ten parts of them, by jackknife.
``--objects`` counts what grows in the second half, by kind.
"""

from __future__ import annotations

import gc
import logging
import os
import sys
import tempfile
from collections import Counter
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np

from stainbook.book import open_book
from stainbook.kept import StepDone
from stainbook.pages.shell import texts
from stainbook.work.app.demo import make_demo_book, make_demo_folder
from stainbook.work.app.shipped import shipped
from tests.benchmarks.redraws import MAKE_PLAN, worked_out
from tests.pages.driving import press, show, type_reading

ZONE = "11 cervical"
BEFORE = ("74,5 0,6 13,5", "75,0 0,5 12,5", "75,5 0,4 11,5", "56,0 17,0 11,0", "57,0 16,5 10,5")
AFTER, PAINTED = "72,6 1,4 16,0", "1 × 1 barley + 7 clear"
PARTS = 10


def walk(number: int, url: str) -> None:
    """One case from its making to its delivery."""
    from streamlit.testing.v1 import AppTest

    code = f"M-{number}"
    app = show(AppTest.from_file(str(shipped("app.py")), default_timeout=600).run(), "new_case")
    app.text_input(key="new_code").set_value(code)
    app.text_input(key="new_teeth").set_value("11")
    app.text_input(key="new_tooth").set_value("72 1,5 17")
    app.text_input(key="new_gingiva").set_value("52 21 14").run()
    show(press(app, texts.MAKE_CASE), "readings")
    app.text_area(key=f"typed {code}").set_value("\n".join(BEFORE)).run()
    press(app, f"Store {len(BEFORE)} readings")
    worked_out(show(app, "case"))
    worked_out(press(show(app, "plan"), MAKE_PLAN))
    record(show(app, "result"), code)
    show(app, "recipes")
    show(app, "start")
    with open_book(url) as book:
        book.add_steps([StepDone(code, "delivered", datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"))])


def record(app: Any, code: str) -> None:
    """A zone painted, fired, read and recorded."""
    tooth, zone = ZONE.split()
    app.session_state[f"fired {code}"] = {"picked": ZONE}
    app.session_state["case_page_choices"].here.zone = (int(tooth), zone)
    app.run()
    app.text_area(key=f"painted {code} {ZONE} 0").set_value(PAINTED).run()
    press(app, begins(app, "Painted, into the furnace"))
    type_reading(app, code, ZONE, AFTER)
    press(app, begins(app, "Record "))


def begins(app: Any, words: str) -> str:
    """What stands on the button that begins so."""
    return next(one.label for one in app.button if one.label.startswith(words))


def own_memory() -> float:
    """kB that are this process's alone."""
    lines = Path("/proc/self/smaps_rollup").read_text().splitlines()
    return sum(float(one.split()[1]) for one in lines if one.startswith(("Private_Clean", "Private_Dirty")))


def slope(taken: np.ndarray) -> float:
    """kB a walk."""
    return float(np.polyfit(taken[:, 0], taken[:, 1], 1)[0])


def kinds() -> Counter[str]:
    """Living objects by kind."""
    gc.collect()
    return Counter(f"{type(one).__module__}.{type(one).__qualname__}" for one in gc.get_objects())


def main(walks: int, objects: bool) -> None:
    """Walk, and print the slope."""
    logging.disable(logging.CRITICAL)
    place = Path(tempfile.mkdtemp())
    url = os.environ["STAINBOOK_BOOK"] = make_demo_book(place)
    os.environ["STAINBOOK_FOLDER"] = str(make_demo_folder(place))
    taken, before = [], Counter[str]()
    for number in range(1, walks + 1):
        walk(number, url)
        gc.collect()
        taken.append((number, own_memory()))
        if number % max(walks // 10, 1) == 0:
            print(f"{number} walks: {taken[-1][1] / 1024:.0f} MB", flush=True)
        if objects and number == walks // 2:
            before = kinds()
    later = np.array(taken)[walks // 5 :]
    some = np.array_split(later, PARTS)
    parts = np.array([slope(np.vstack([one for j, one in enumerate(some) if j != i])) for i in range(PARTS)])
    doubt = float(np.sqrt((PARTS - 1) / PARTS * np.sum((parts - parts.mean()) ** 2)))
    told = f"one standard error {doubt:.0f}, of {walks} walks after the first {walks // 5}"
    print(f"{slope(later):.0f} kB a walk, {told}")
    if objects:
        grown = kinds()
        grown.subtract(before)
        for kind, more in grown.most_common(40):
            print(f"{more / (walks - walks // 2):8.1f} a walk  {kind}")


if __name__ == "__main__":
    given = [one for one in sys.argv[1:] if not one.startswith("-")]
    main(int(given[0]) if given else 200, "--objects" in sys.argv)
