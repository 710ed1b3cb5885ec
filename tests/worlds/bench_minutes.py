"""Minutes at the bench against zones in tolerance, for the demonstration arch: python -m tests.worlds.bench_minutes.

An invented stock of house mixes is chosen as a lab would that stains to its own guide: those that serve every tab of
the guide best on pieces such as this one, eight for teeth and four for gum. The arch itself asks for other colours
too. Minutes are those of weighing and drying; reading, typing and the record take some ten more (common practice).
"""

from __future__ import annotations

import tempfile
from dataclasses import replace
from pathlib import Path

import numpy as np

from stainbook.book import Book, open_book
from stainbook.match import Bench, ZoneProblem
from stainbook.match.few_mixes import each_alone, palettes, served_of
from stainbook.match.moves import ready_for, searches_of
from stainbook.match.plan import plan_case
from stainbook.records import Pot
from stainbook.work.app.demo import make_demo_book
from stainbook.work.case.problems import AdviceAsked, prepare_case
from tests.worlds.fired_labs import table

CASE = "W-1042"
STOCK = {"tooth": 8, "gingiva": 4}
LIKE = 3  # pieces that each tab is tried on
OFF = 0.8  # L*, a*, b* by which what is prescribed strays from a tab


def house_mixes(book: Book, bench: Bench, some: list[ZoneProblem]) -> dict[str, Pot]:
    """The stock, by names of its own."""
    found: dict[str, Pot] = {}
    rng = np.random.default_rng(71)
    plain = replace(bench, limits=replace(bench.limits, layers=1))
    options = plain.options
    assert options is not None
    for tissue, count in STOCK.items():
        wanted = [problem for problem in some if problem.tissue == tissue]
        targets = list(dict.fromkeys(problem.target for problem in wanted))
        asked = [
            replace(wanted[int(i)], target=tuple(float(one) for one in np.array(target) + OFF * rng.standard_normal(3)))
            for target in targets
            for i in rng.choice(len(wanted), LIKE)
        ]
        served = served_of(searches_of(ready_for(plain, asked, options)), [False] * len(asked))
        grown = palettes(each_alone(served), options, most=count, layers=1, barred=list(found.values()))
        found |= {f"house-{tissue[:3]}-{place}": pot for place, pot in enumerate(grown[-1][0].pots, start=1)}
    return found


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as folder, open_book(make_demo_book(Path(folder))) as book:
        ready = prepare_case(book, CASE, AdviceAsked())
        stock = house_mixes(book, ready.bench, list(ready.open))
    free = ready.bench
    ours = replace(free, stock=stock)
    alone = replace(ours, limits=replace(free.limits, strengths=()))
    rows = []
    for name, bench, dryings, mixes in (
        ("fresh mixes", free, 1, 4),
        ("fresh mixes", free, 0, 4),
        ("stock first", ours, 1, 4),
        ("stock first", ours, 0, 4),
        ("stock alone", alone, 1, 4),
        ("stock alone", alone, 0, 4),
        ("stock alone", alone, 0, 6),
        ("stock alone", alone, 0, 12),
    ):
        limits = replace(bench.limits, dryings=dryings)
        found = plan_case(replace(bench, limits=limits), ready.open, stage=ready.case.stage, most=mixes)
        own = found.together
        coats = sum(layer.coats for zone in found.zones for layer in zone.move.layers)
        rows.append([
            name, str(mixes), str(own.mixes), str(own.fresh), str(own.dryings), f"{own.minutes:.0f}", str(coats),
            f"{own.expected:.1f} of {len(found.zones)}", f"{own.accept:.2f}", f"{own.accept_within:.2f}",
        ])  # fmt: skip
        print(" | ".join(rows[-1]), flush=True)
    heads = ["mixes", "most", "used", "fresh", "dryings", "minutes", "coats", "zones", "whole", "within firings"]
    print(table(heads, rows))


if __name__ == "__main__":
    main()
