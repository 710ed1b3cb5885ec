"""How close stainbook comes beside what a lab could do without it: ``python -m tests.benchmarks.proof``.

Prints the tables of the guide's results: prediction, its radius, advice and its chance, plan, sequence, closed loop and
photo, each beside three baselines that learn from the same stripes, or beside the chart alone. All of it is simulated,
in labs whose physics is none of these models'. The seeds below were written down before any of them was run; nothing
was tuned on them. ``--quick`` runs some seconds on other seeds, to see that it works.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import product
from pathlib import Path

import numpy as np

from tests.worlds import side_by_side as sides
from tests.worlds.fired_labs import table
from tests.worlds.photo_chart_only import PHOTO_WAYS, judged
from tests.worlds.photo_spectra import KINDS
from tests.worlds.pigments import Array

LABS = (52101, 52102, 52103, 52104, 52105, 52106)  # the same for both kinds of labs and all hands
SEQUENCES = (52201, 52202, 52203, 52204, 52205)
SCENES = tuple(range(52301, 52325))
FAMILIES = ("sealed", "kept")  # of pictures: no constant was set on either but what the guide says of them
FILES = {"raw": "linear", "JPEG": "srgb"}
HANDS = (0.07, 0.12, 0.15, 0.30)  # log scatter of one coat
AGAIN = 400  # draws of labs for a standard error
SURE = 2.0  # standard errors of the paired difference from which a baseline is said to be better


@dataclass(frozen=True)
class Size:
    """How much is tried."""

    labs: tuple[int, ...] = LABS
    sequences: tuple[int, ...] = SEQUENCES
    scenes: tuple[int, ...] = SCENES
    hands: tuple[float, ...] = HANDS
    kinds: tuple[bool, ...] = (False, True)  # matt or not
    pieces: int = 30
    zones: int = 16
    planned: int = 18
    fired: int = 8
    looped: int = 12
    blanks: int = 15
    families: tuple[str, ...] = FAMILIES


QUICK = Size(
    (71,), (71,), (71,), (0.12,), (True,), pieces=3, zones=1, planned=3, fired=2, looped=1, blanks=1, families=("test",)
)

Parts = dict[tuple[str, str], list[Array]]  # by measure and way: an array a lab
Figure = Callable[[Array], float]


def median(values: Array) -> float:
    """The middle one."""
    return float(np.median(values))


def p95(values: Array) -> float:
    """The one that 19 in 20 do not pass."""
    return float(np.percentile(values, 95))


def mean(values: Array) -> float:
    """The mean, of hits their share."""
    return float(np.mean(values))


@dataclass(frozen=True)
class Line:
    """A table: its figures with their measures and formats, and whether less is better; None where neither is."""

    title: str
    figures: tuple[tuple[str, Figure, str], ...]
    less: bool | None = True


MIDDLE = "{:.2f}"
SHARE = "{:.0%}"


def spread(title: str, measure: str) -> Line:
    """Median and P95 of a difference."""
    return Line(f"{title}: median / P95 ΔE00", ((measure, median, MIDDLE), (measure, p95, MIDDLE)))


BY_LAB = (
    spread("Prediction, layers as meant", "to the layers as meant"),
    spread("Prediction, what the hand made", "to what the hand made"),
    spread("Prediction, glaze alone", "glaze alone"),
    Line("Radius of 9 in 10: held, its median", (("held", mean, SHARE), ("radius", median, "{:.1f}")), None),
    spread("Advice, first step without hand error", "first step, no hand error"),
    Line("Advice, first step by hand: in tolerance", (("in tolerance", mean, SHARE),), False),
    Line("Advice: chance told", (("chance told", mean, SHARE),), None),
    Line("Advice: Brier score of the chance", (("Brier", mean, "{:.3f}"),)),
    spread("Plan of four mixes, a zone without hand error", "zone of a plan, no hand error"),
    Line("Plan of four mixes, by hand: zones in tolerance", (("zones in tolerance", mean, SHARE),), False),
    Line("Closed loop: firings to delivery, three at most", (("firings", mean, MIDDLE),)),
    Line("Closed loop: in tolerance at the first firing", (("first firing", mean, SHARE),), False),
    Line("Closed loop: delivered in tolerance within three", (("delivered", mean, SHARE),), False),
)
BY_BLANK = (
    spread("Liquids and a thin coat, by hand", "end of a sequence"),
    Line("Liquids and a thin coat: in tolerance", (("sequences in tolerance", mean, SHARE),), False),
)
BY_SCENE = (
    spread("Photo", "far"),
    Line("Photo, radius of 19 in 20: held, its median", (("held", mean, SHARE), ("radius", median, "{:.1f}")), None),
)


@dataclass(frozen=True)
class Shelf:
    """What was worked out before, where a folder is given: a run that was broken off goes on."""

    folder: Path | None = None

    def of(self, name: str, make: Callable[[], sides.Found]) -> sides.Found:
        """What is there under the name, or made now."""
        place = self.folder / f"{name}.npz" if self.folder else None
        if place and place.exists():
            with np.load(place) as kept:
                return {(measure, way): kept[f"{measure}|{way}"] for measure, way in (k.split("|") for k in kept)}
        found = make()
        if place:
            part = place.with_suffix(".part.npz")
            np.savez(part, **{f"{measure}|{way}": values for (measure, way), values in found.items()})
            part.replace(place)
        _say(name)
        return found


def lab(seed: int, hand: float, matt: bool, size: Size) -> sides.Found:
    """All that one lab is asked."""
    bench = sides.Bench.of(seed, matt=matt, hand=hand)
    found = sides.prediction(bench, size.pieces) | sides.advice(bench, size.zones)
    return found | sides.plan(bench, size.planned, size.fired) | sides.loop(bench, size.looped)


def labs(size: Size, shelf: Shelf) -> dict[str, Parts]:
    """Glazed and matt labs of each hand."""
    groups: dict[str, Parts] = {f"{_kind(m)}, {h:.0%}": defaultdict(list) for h in size.hands for m in size.kinds}
    for seed, hand, matt in product(size.labs, size.hands, size.kinds):
        found = shelf.of(f"{_kind(matt)} {hand:.0%} {seed}", partial(lab, seed, hand, matt, size))
        _add(groups[f"{_kind(matt)}, {hand:.0%}"], found)
    return groups


def _kind(matt: bool) -> str:
    return "matt" if matt else "glazed"


def sequences(size: Size, shelf: Shelf) -> dict[str, Parts]:
    """Unsintered pieces of each hand."""
    groups: dict[str, Parts] = {f"unsintered, {hand:.0%}": defaultdict(list) for hand in size.hands}
    for seed, hand in product(size.sequences, size.hands):
        found = shelf.of(f"unsintered {hand:.0%} {seed}", partial(sides.sequence, seed, hand, size.blanks))
        _add(groups[f"unsintered, {hand:.0%}"], found)
    return groups


def photos(size: Size, shelf: Shelf) -> dict[str, Parts]:
    """Zones of each kind, raw and JPEG; what the program refuses is left out for all ways alike, and counted."""
    groups: dict[str, Parts] = {f"{file}, {kind}": defaultdict(list) for file in FILES for kind in KINDS}
    for file, encoding in FILES.items():
        refused = 0
        for which, seed in product(size.families, size.scenes):
            found = judged(which, seed, encoding)
            refused += found is None
            for (kind, way), zones in (found or {}).items():
                columns = np.array(zones, dtype=float).T
                for measure, values in zip(("far", "held", "radius"), columns, strict=True):
                    groups[f"{file}, {kind}"][(measure, way)].append(values)
        _say(f"photo {file}: refused {refused} of {len(size.families) * len(size.scenes)}")
    return groups


def _add(parts: Parts, found: sides.Found) -> None:
    for key, values in found.items():
        parts[key].append(np.asarray(values, dtype=float))


def _say(text: str) -> None:
    print(f"{time.strftime('%H:%M:%S')} {text}", file=sys.stderr, flush=True)


# ---------------------------------------------------------------- cells


def cell(parts: Parts, line: Line, way: str, own: str) -> str:
    """Figures with their standard errors over labs; bold where this way is better than our own beyond doubt."""
    shown, better = [], False
    for measure, figure, form in line.figures:
        values, ours = parts[(measure, way)], parts[(measure, own)]
        rng = np.random.default_rng(9)  # the same draws for each way: differences are paired
        draws = [rng.integers(len(values), size=len(values)) for _ in range(AGAIN)]
        again = np.array([figure(np.concatenate([values[i] for i in draw])) for draw in draws])
        beside = np.array([figure(np.concatenate([ours[i] for i in draw])) for draw in draws])
        value, doubt = figure(np.concatenate(values)), float(again.std())
        gained = (figure(np.concatenate(ours)) - value) * (1.0 if line.less else -1.0)
        better |= line.less is not None and way != own and gained > SURE * max(float((beside - again).std()), 1e-9)
        small = form.replace("%", "f").format(100.0 * doubt) if "%" in form else form.format(doubt)
        shown.append(f"{form.format(value)} ± {small}")
    text = " / ".join(shown)
    return f"**{text}**" if better else text


def print_tables(groups: dict[str, Parts], lines: Sequence[Line], ways: Sequence[str], first: str) -> None:
    """A table for each line; the first column names the group."""
    for line in lines:
        rows = [[name, *(cell(parts, line, way, ways[0]) for way in ways)] for name, parts in groups.items()]
        if line.title.endswith("glaze alone: median / P95 ΔE00"):
            rows = [row for row in rows if row[0].startswith("matt")]  # a glazed face stays as it is
        print(f"\n{line.title}\n\n{table([first, *ways], rows)}", flush=True)


ROWS = {
    "labs": (labs, BY_LAB, sides.WAYS, "labs, hand a coat"),
    "sequence": (sequences, BY_BLANK, sides.WAYS, "pieces, hand a coat"),
    "photo": (photos, BY_SCENE, PHOTO_WAYS, "file, zone"),
}


def main(arguments: list[str] | None = None) -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("rows", nargs="*", choices=[[], *ROWS], help="some of the tables; all without it")
    parser.add_argument("--quick", action="store_true", help="see that it runs")
    parser.add_argument("--labs", type=int, default=len(LABS), help="so many of the frozen labs")
    parser.add_argument("--hand", type=float, action="append", choices=HANDS, help="only hands that scatter so")
    parser.add_argument("--keep", type=Path, help="a folder for what is worked out, to go on after a break")
    asked = parser.parse_args(arguments)
    size = QUICK if asked.quick else Size(LABS[: asked.labs], SEQUENCES[: asked.labs])
    size = replace(size, hands=tuple(asked.hand)) if asked.hand else size
    if asked.keep:
        asked.keep.mkdir(parents=True, exist_ok=True)
    print(
        f"Simulated. {len(size.labs)} labs of each kind a hand, {size.pieces} pieces predicted,"
        f" {size.zones} zones advised, {size.planned} planned, {size.looped} pieces looped in each;"
        f" {len(size.sequences)} labs of {size.blanks} unsintered zones;"
        f" {len(size.families) * len(size.scenes)} pictures a file. ± is one standard error over labs,"
        " of photos over pictures; **bold** is better than stainbook by more than two standard"
        " errors of the paired difference."
    )
    for name in asked.rows or ROWS:
        found, lines, ways, first = ROWS[name]
        print_tables(found(size, Shelf(asked.keep)), lines, ways, first)


if __name__ == "__main__":
    main()
