"""What grows how: time and memory against stains, zones, outcomes in the book and megapixels.

``python -m tests.benchmarks.growth [stains] [zones] [outcomes] [photo]`` prints a table for each: seconds of one core,
which other work hardly touches, and the most memory that the process held, at each size, with the exponent of a
straight line through them in ln and ln: 1 is in proportion, 2 with the square. Each size runs in a process of its own.
Stains, zones, books and pictures are made up. ``--small`` takes the two smaller sizes.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np

from tests.worlds.fired_labs import table

SIZES = {
    "stains": (10, 30, 100),
    "zones": (20, 60, 200),
    "outcomes": (10_000, 100_000, 1_000_000),
    "photo": (12, 24, 60),
}
OF = {"photo": "megapixels"}
SEEN = 9  # searches of each kind
ROOT = Path(__file__).parents[2]
Taken = dict[str, float]


@contextmanager
def spent(taken: Taken, name: str, share: float = 1.0) -> Iterator[None]:
    """Note the seconds of this process's core."""
    began = time.process_time()
    yield
    taken[name] = taken.get(name, 0.0) + share * (time.process_time() - began)


def stains(count: int) -> Taken:
    """Learning from seven stripes of each stain, then advice for twelve zones with all of them."""
    from stainbook.match import advise_case
    from stainbook.match.plan import plan_case
    from stainbook.optics.calibrate import calibrate
    from stainbook.records import FAMILIES
    from tests.benchmarks.test_match import bench_of, zones_of
    from tests.worlds.blind_trials import fired_chips
    from tests.worlds.lab import World
    from tests.worlds.samples import stains as listed

    taken: Taken = {}
    world = World(seed=61, stains={f"stain-{i:03d}": FAMILIES[i % len(FAMILIES)] for i in range(count)})
    chips, own = fired_chips(world), {one.name: one for one in listed(world)}
    with spent(taken, "calibrate, seven stripes a stain"):
        calibrate(chips, own, operator="bench-1")
    with spent(taken, "advice, 12 zones"):
        advise_case(bench_of(count, coats=2), zones_of(12))
    with spent(taken, "plan of four mixes, 12 zones"):
        plan_case(bench_of(count, coats=2), zones_of(12), most=4)
    return taken


def zones(count: int) -> Taken:
    """Advice, and a plan of four mixes, with 14 stains."""
    from stainbook.match import advise_case
    from stainbook.match.plan import plan_case
    from tests.benchmarks.test_match import bench_of, zones_of

    taken: Taken = {}
    with spent(taken, "advice, 14 stains"):
        advise_case(bench_of(14, coats=2), zones_of(count))
    with spent(taken, "plan of four mixes, 14 stains"):
        plan_case(bench_of(14, coats=2), zones_of(count), most=4)
    return taken


def outcomes(count: int) -> Taken:
    """A book on a file: storing, opening, searching, what learning takes, and what pages ask first."""
    import stainbook
    from stainbook.book import open_book
    from tests.benchmarks.many_outcomes import ASKED, fill

    taken: Taken = {}
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{folder}/lab.db"
        with open_book(url) as book, spent(taken, "store an outcome", 1.0 / count):
            fill(book, count)
        with spent(taken, "open the book"):
            opened = open_book(url)
        with opened as book:
            for wanted in ASKED.values():
                with spent(taken, "a search, of 14 kinds", 1.0 / (SEEN * len(ASKED))):
                    for _ in range(SEEN):
                        book.search(wanted)
        lab = stainbook.Lab.open(f"{folder}/lab.db")
        for name, ask in ASKED_OF_LAB.items():
            with spent(taken, name):
                ask(lab)
        stainbook.Lab.close_all()
        taken["size of the file, MB"] = Path(folder, "lab.db").stat().st_size / 1e6
    return taken


ASKED_OF_LAB: dict[str, Callable] = {
    "what the start page lists": lambda lab: (lab.cases.listed(), lab.cases.to_do()),
    "numbers of all time": lambda lab: lab.numbers.of(),
    "conditions to choose from": lambda lab: lab.recipes.conditions(),
    "outcomes held back": lambda lab: lab.stains.held_now(),
    "jars": lambda lab: lab.stains.jars.all(),
}


def photo(megapixels: int) -> Taken:
    """Sixteen zones and a chart whose corners are known, from JPEG and from raw."""
    from stainbook.work.photo.photo_colours import photo as colours

    taken: Taken = {}
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        subprocess.run(
            [sys.executable, "-c", f"from tests.benchmarks.test_photo import pictures as p; p({made!r}, {megapixels})"],
            check=True, cwd=ROOT,
        )  # fmt: skip
        for name, file in (("JPEG", "p.jpg"), ("raw", "p.dng")):
            with spent(taken, f"{name}, 16 zones"):
                assert len(colours(None, folder / file, folder / "scene.yaml").zones) == 16
            taken[f"{name}, most memory, MB"] = most_memory()
    return taken


KINDS: dict[str, Callable[[int], Taken]] = {"stains": stains, "zones": zones, "outcomes": outcomes, "photo": photo}


def most_memory() -> float:
    """MB that this process has held at most; not of ru_maxrss, which counts the parent's."""
    return int(re.search(r"VmHWM:\s+(\d+)", Path("/proc/self/status").read_text())[1]) / 1024  # type: ignore[index]


def measured(kind: str, size: int) -> Taken:
    """One size, in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.growth", "--one", kind, str(size)],
        check=True, capture_output=True, text=True, cwd=ROOT, env=os.environ | {"OMP_NUM_THREADS": "1"},
    )  # fmt: skip
    return dict(json.loads(done.stdout.splitlines()[-1]))


def exponent(sizes: list[int], values: list[float]) -> float:
    """The slope of ln value over ln size."""
    return float(np.polyfit(np.log(sizes), np.log(np.maximum(values, 1e-9)), 1)[0])


def shown(value: float) -> str:
    """Three digits, small seconds in milliseconds or microseconds where they are so."""
    return f"{value:.3g}" if value >= 1 else f"{1e3 * value:.3g} m" if value >= 1e-3 else f"{1e6 * value:.3g} µ"


def print_growth(kind: str, sizes: list[int]) -> None:
    """The table of one kind."""
    found = {size: measured(kind, size) for size in sizes}
    rows = []
    for name in found[sizes[-1]]:
        values = [found[size][name] for size in sizes]
        rows.append([name, *(shown(value) for value in values), f"{exponent(sizes, values):.2f}"])
    print(f"\n{table([OF.get(kind, kind), *(f'{size:,}' for size in sizes), 'exponent'], rows)}", flush=True)


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("kinds", nargs="*", choices=[[], *KINDS])
    parser.add_argument("--small", action="store_true")
    parser.add_argument("--one", nargs=2, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.one:
        kind, size = asked.one
        taken = KINDS[kind](int(size))
        print(json.dumps(taken | ({} if kind == "photo" else {"most memory, MB": most_memory()})))
        return
    for kind in asked.kinds or KINDS:
        print_growth(kind, list(SIZES[kind][: 2 if asked.small else 3]))


if __name__ == "__main__":
    main()
