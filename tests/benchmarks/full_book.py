"""A lab after years of work: 5,000 cases, 20,000 recipes and 10,000 outcomes beside the demonstration lab's.

Made up, and so said: colours are drawn, nothing was fired. ``python -m tests.benchmarks.full_book FOLDER`` makes it.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from stainbook.book import open_book
from stainbook.kept import Conditions, LabRecipe
from stainbook.records import Case, CaseZone, LabRef, Layer, Pot, Reading, SampleRef, Target, Viewing
from stainbook.work.app.demo import make_demo_book, make_demo_folder
from tests.benchmarks.many_outcomes import outcomes
from tests.worlds.demo_lab import DEMO_WORLD

CASES, RECIPES, OUTCOMES = 5_000, 20_000, 10_000
OPEN = 60  # cases that are still in the lab
ZONES = ("cervical", "middle", "incisal")
BATCH = 5_000
SEED = 7


def make_full_book(folder: Path, *, cases: int = CASES, recipes: int = RECIPES, done: int = OUTCOMES) -> str:
    """Make ``lab.db``, which holds the cases, and the shipped ``recipes/`` in a folder; gives the URL of the book."""
    url = make_demo_book(folder)
    make_demo_folder(folder)
    rng = np.random.default_rng(SEED)
    with open_book(url) as book:
        for start in range(0, done, BATCH):
            with book.transaction() as step:
                step.add_outcomes(outcomes(min(BATCH, done - start), SEED + start))
        for start in range(0, recipes, BATCH):
            with book.transaction() as step:
                step._add(LabRecipe, _recipes(start, min(start + BATCH, recipes), rng))
        for start in range(0, cases, BATCH):
            made = list(_cases(start, min(start + BATCH, cases), rng))
            with book.transaction() as step:
                step.add_readings(reading for _, readings in made for reading in readings)
                step.add_cases(case for case, _ in made)
    return url


def _recipes(start: int, end: int, rng: np.random.Generator) -> Iterator[LabRecipe]:
    stains = list(DEMO_WORLD.stains)
    for number in range(start, end):
        one, other = (stains[i] for i in rng.choice(len(stains), 2, replace=False))
        lab = rng.normal(size=3) * [5.0, 2.0, 4.0] + [72.0, 1.5, 17.0]
        layers = (Layer(Pot.of({one: 1 / 8, other: 1 / 16}), int(rng.integers(1, 3))),)
        zone = ZONES[number % 3]
        target = LabRef((float(lab[0]), float(lab[1]), float(lab[2])), Viewing("D65", 10))
        holds = Conditions(material="zirconia", tissue="tooth", zone=zone)
        yield LabRecipe(f"{zone} of {number}", layers, ("draft", "tried", "approved")[number % 3], holds, target)


def _cases(start: int, end: int, rng: np.random.Generator) -> Iterator[tuple[Case, list[Reading]]]:
    for number in range(start, end):
        code = f"Y-{number:05d}"
        lab = rng.normal(size=(3, 3)) * [3.0, 1.0, 2.5] + [74.0, 1.0, 15.0]
        readings = [
            Reading(
                f"{code}-11-{zone}", lab=(float(L), float(a), float(b)), viewing=Viewing("D65", 10), stage="blasted",
                surface="matt", tissue="tooth",
            )
            for zone, (L, a, b) in zip(ZONES, lab, strict=True)
        ]  # fmt: skip
        target = Target(LabRef((71.0, 2.5, 18.0), Viewing("D65", 10)))
        zones = tuple(CaseZone(11, zone, "tooth", now=SampleRef(f"{code}-11-{zone}"), target=target) for zone in ZONES)
        stage = "blasted" if number >= end - OPEN else "delivered"
        yield Case(code, zones, material="zirconia", stage=stage), readings


if __name__ == "__main__":
    began = time.perf_counter()
    print(make_full_book(Path(sys.argv[1])), f"{time.perf_counter() - began:.0f} s")
