"""Books of many made-up outcomes, and how long searches take as they grow.

``python -m tests.benchmarks.many_outcomes URL 1000 10000 100000 1000000`` prints the growth curve.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator

import numpy as np

from stainbook.book import Book, open_book
from stainbook.book.wanted import BookQuery
from stainbook.kept import Outcome
from stainbook.records import LabRef, Layer, Pot, Reading, Viewing

BATCH = 5000
TEETH = (11, 12, 13, 21, 22, 23)
ZONES = {"tooth": ("cervical", "middle"), "gingiva": ("margin", "attached")}

ASKED = {
    "colour within 2": BookQuery((72.0, 1.0, 18.0), 2.0),
    "colour at the edge": BookQuery((58.0, 6.0, 28.0), 2.0),
    "colour and stain": BookQuery((72.0, 1.0, 18.0), 2.0, conditions=(("stain", "s3"),)),
    "colour, stain, lot, material": BookQuery(
        (72.0, 1.0, 18.0), 2.0, conditions=(("stain", "s3"), ("lot", "24-31"), ("material", "zirconia"))
    ),
    "colour and rare material": BookQuery((72.0, 1.0, 18.0), 2.0, conditions=(("material", "feldspar"),)),
    "colour and word": BookQuery((72.0, 1.0, 18.0), 2.0, conditions=(("word", "w17"),)),
    "colour that nothing is near": BookQuery((20.0, 1.0, 18.0), 3.0),
    "colour of teeth, on gum": BookQuery((72.0, 1.0, 18.0), 2.0, conditions=(("tissue", "gingiva"),)),
    "colour within 10": BookQuery((72.0, 1.0, 18.0), 10.0, conditions=(("tissue", "gingiva"), ("stain", "s3"))),
    "words": BookQuery(conditions=(("word", "w17"), ("word", "thin"))),
    "stain and material": BookQuery(conditions=(("stain", "s3"), ("material", "lithium disilicate"))),
    "two that never meet": BookQuery(conditions=(("tissue", "gingiva"), ("zone", "cervical"))),
    "lot": BookQuery(conditions=(("lot", "24-31"),)),
    "case": BookQuery(conditions=(("case", "W-0-17"),)),
}


def outcomes(count: int, seed: int) -> Iterator[Outcome]:
    """Three quarters teeth, one quarter gum; 14 stains, 3 lots each, two materials and a rare one."""
    rng = np.random.default_rng(seed)
    teeth = rng.normal(size=(count, 3)) * [5.0, 2.0, 4.0] + [72.0, 1.0, 18.0]
    gum = rng.normal(size=(count, 3)) * [6.0, 4.0, 3.0] + [50.0, 22.0, 14.0]
    tissue = np.where(rng.random(count) < 0.75, "tooth", "gingiva")
    lab = np.where(tissue[:, None] == "tooth", teeth, gum)
    stains, words, materials = rng.integers(0, 14, (count, 2)), rng.integers(0, 400, count), rng.random(count)
    for i in range(count):
        got = LabRef((float(lab[i, 0]), float(lab[i, 1]), float(lab[i, 2])), Viewing())
        first, second = (f"s{n}" for n in stains[i])
        layer = Layer(Pot.of({first: 0.25, second: 0.125}), lots=((first, f"24-{stains[i, 0] * 10 + i % 3}"),))
        material = "zirconia" if materials[i] < 0.7 else "lithium disilicate" if materials[i] < 0.999 else "feldspar"
        yield Outcome(
            case=f"W-{seed}-{i // 12}",
            tooth=TEETH[i % 6],
            zone=ZONES[str(tissue[i])][i // 6 % 2],
            tissue=str(tissue[i]),
            fired_at="2026-03-02T10:40:00Z",
            layers=(layer,),
            after=Reading("x", lab=got.lab, viewing=Viewing()),
            got=got,
            material=material,
            operator=f"bench-{i % 5}",
            programme="glaze-770",
            note=f"w{words[i]} thin",
        )


def fill(book: Book, upto: int) -> None:
    """Add outcomes until the book holds that many."""
    have = book.counts().get("outcome", 0)
    while have < upto:
        count = min(BATCH, upto - have)
        book.add_outcomes(outcomes(count, have))
        have += count


def main(url: str, sizes: list[int]) -> None:
    """Print, at each size, the least and median ms of 15 searches of each kind, and what an outcome took to store.

    The last number is the least that a search took of this process's core, which other work on the machine hardly
    touches; what a server takes of its own is not in it.
    """
    with open_book(url) as book:
        for size in sizes:
            have, start = book.counts().get("outcome", 0), time.process_time()
            fill(book, size)
            if size > have:
                _say(size, "an outcome stored, core", [1e3 * (time.process_time() - start) / (size - have)])
            for name, wanted in ASKED.items():
                spent = [_search(book, wanted) for _ in range(15)]
                clock, core = np.array(spent).T
                _say(size, name, [clock.min(), np.median(clock), core.min()])


def _search(book: Book, wanted: BookQuery) -> tuple[float, float]:
    clock, core = time.perf_counter(), time.process_time()
    book.search(wanted)
    return 1e3 * (time.perf_counter() - clock), 1e3 * (time.process_time() - core)


def _say(size: int, name: str, numbers: list[float]) -> None:
    print(f"{size:9d}  {name:30s}", *(f"{number:7.1f}" for number in numbers), flush=True)


if __name__ == "__main__":
    main(sys.argv[1], [int(size) for size in sys.argv[2:]])
