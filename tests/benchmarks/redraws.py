"""What a redraw costs that finds nothing new: ``python -m tests.benchmarks.redraws [CHECKOUT ...]``.

Each page is drawn on the demonstration lab's full arch (W-1042) until its work is done, then again: CPU of the page
alone (the thread between `show_page` and its end; median of nine), queries, books opened, YAML texts parsed. Each
checkout, this one first, is measured in a process of its own with the same libraries; the others' CPU is also told as
a multiple of this one's.
"""

from __future__ import annotations

import importlib
import json
import logging
import os
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from statistics import median
from typing import Any

PAGES = ("result", "case", "plan", "start", "readings", "targets", "deliver", "sheet")
CASE, MAKE_PLAN, STOP = "W-1042", "Make the plan", "Stop"
ROUNDS = 9
ROOT = Path(__file__).parents[2]
Cost = dict[str, float]


def module_of(root: Path, place: str, name: str) -> Any:
    """The module of a name, in whichever room of a checkout it lies."""
    path = next((root / "stainbook" / place).rglob(f"{name}.py"))
    return importlib.import_module(".".join(path.relative_to(root).with_suffix("").parts))


def counting(owner: Any, name: str, count: Callable[[], None]) -> None:
    """Have a function counted wherever it is called by its owner."""
    plain = getattr(owner, name)
    setattr(owner, name, lambda *given, **more: (count(), plain(*given, **more))[1])


def counts() -> Counter[str]:
    """Queries, opened books and parsed YAML texts from now on."""
    import yaml
    from sqlalchemy import Engine, event

    from stainbook.book import upgrade

    found: Counter[str] = Counter()

    def query(connection: Any, cursor: Any, statement: str, *_: Any) -> None:
        found["queries"] += not statement.startswith(("BEGIN", "PRAGMA"))

    event.listen(Engine, "before_cursor_execute", query)
    counting(upgrade, "ready", lambda: found.update(opens=1))
    counting(yaml, "parse", lambda: found.update(parses=1))
    return found


def timed(frame: Any) -> list[float]:
    """Seconds of CPU of each page that is drawn from now on."""
    took: list[float] = []
    plain = frame.show_page

    def show_page(*given: Any, **more: Any) -> None:
        began = time.thread_time()
        plain(*given, **more)
        took.append(time.thread_time() - began)

    frame.show_page = show_page
    return took


def worked_out(page: Any) -> Any:
    """The page once the work that it shows is done."""
    while any(one.label == STOP for one in page.button):
        time.sleep(0.3)
        page.run()
    return page


def of_case(path: Path, case: str) -> Any:
    """A page with a case chosen, the work that it shows done."""
    from streamlit.testing.v1 import AppTest

    page = AppTest.from_file(str(path), default_timeout=600).run()
    for box in page.selectbox:
        if box.key == "case_file":
            box.select(next(one for one in box.options if case in one)).run()
    return worked_out(page)


def opened(path: Path) -> Any:
    """A page of the whole arch, all its work done, drawn twice more."""
    page = of_case(path, CASE)
    for button in page.button:
        if button.label == MAKE_PLAN:
            worked_out(button.click().run())
    assert not page.exception, page.exception
    return page.run().run()


def measure(root: Path) -> dict[str, Cost]:
    """The cost of a redraw of each page of a checkout."""
    logging.disable(logging.CRITICAL)
    demo, place = module_of(root, "work", "demo"), Path(tempfile.mkdtemp())
    os.environ["STAINBOOK_BOOK"] = demo.make_demo_book(place)
    os.environ["STAINBOOK_FOLDER"] = str(demo.make_demo_folder(place))
    rooms = list((root / "stainbook" / "pages").rglob("*frame.py"))
    frame = module_of(root, "pages", next(path.stem for path in rooms if "def show_page" in path.read_text("utf-8")))
    found, took, costs = counts(), timed(frame), {}
    for name in PAGES:
        page = opened(next((root / "stainbook" / "pages").rglob(f"{name}_page.py")))
        found.clear()
        page.run()
        costs[name] = {what: found[what] for what in ("queries", "opens", "parses")}
        took.clear()
        for _ in range(ROUNDS):
            page.run()
        costs[name]["cpu"] = median(took)
    return costs


def measured(root: Path) -> dict[str, Cost]:
    """`measure` in a process of its own, this script in the other checkout."""
    script = f"import sys; sys.path[:0] = [{str(root)!r}, {str(Path(__file__).parent)!r}]; import redraws, json; "
    script += f"from pathlib import Path; print(json.dumps(redraws.measure(Path({str(root)!r}))))"
    done = subprocess.run([sys.executable, "-c", script], cwd=root, stdout=subprocess.PIPE, text=True, check=True)
    costs: dict[str, Cost] = json.loads(done.stdout.splitlines()[-1])
    return costs


def main(others: list[Path]) -> None:
    """Measure, and print a table for each checkout."""
    here = measured(ROOT)
    for root in (ROOT, *others):
        costs = here if root is ROOT else measured(root)
        print(f"{root.name:10} {'queries':>8} {'opens':>6} {'parses':>7} {'CPU, ms':>8} {'times this':>11}")
        for name, one in costs.items():
            times = one["cpu"] / here[name]["cpu"]
            counted = f"{one['queries']:8.0f} {one['opens']:6.0f} {one['parses']:7.0f}"
            print(f"{name:10} {counted} {1000 * one['cpu']:8.1f} {times:11.1f}")


if __name__ == "__main__":
    main([Path(one).absolute() for one in sys.argv[1:]])
