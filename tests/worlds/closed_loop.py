"""Closed loops in simulated labs: does learning from outcomes pay? python -m tests.worlds.closed_loop.

The chips were made by one hand with one set of jars; the pieces are painted by another hand (off by
18 %) with other jars (off by 20 %). Each piece has two zones whose targets stain can reach. A piece
that misses is read again and fired again, three times at most. Beside the advice that learns stand the
same advice that does not, the advice that knows hand and jars exactly, and what a lab could do without stainbook
(`tests.worlds.baselines`).
"""

from __future__ import annotations

import argparse
from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from stainbook.colour import delta_e_2000, thresholds
from stainbook.match import Bench, Start, ZoneProblem, advise_case
from stainbook.match.fired import Fired
from stainbook.match.layer_options import Options, options_of, pots_of
from stainbook.match.learning import learn as learn_factors
from stainbook.optics.curves import Optics
from stainbook.optics.film import Piece
from stainbook.optics.forecast import LOT_SD, OPERATOR_SD, Hands
from stainbook.records import DEFAULT_SHARES, Layers, Limits, Viewing
from stainbook.work.stains.learnt import Known, hands_of
from tests.worlds import lab as worlds
from tests.worlds.baselines import BASELINES, Told, best
from tests.worlds.blind_trials import MATERIAL, NOISE, fired_chips, lab_of, learn
from tests.worlds.pigments import Array

HAND, LOT = "bench-2", "lot-2"
MOST_FIRINGS = 3
METHODS = ("learning", "no learning", "perfect knowledge", *BASELINES)
FAMILIES = {
    "flour": "white", "barley": "yellow", "plover": "orange", "saddle": "brown",
    "wagtail": "grey", "squall": "blue", "peony": "pink", "garnet": "red",
}  # fmt: skip


class Delivery(NamedTuple):
    """What one piece took: accepted at its first firing, how many firings, in tolerance after the last of them."""

    first: bool
    firings: int
    delivered: bool


@dataclass
class Loop:
    """One lab at work with one method."""

    world: worlds.World
    optics: Optics
    options: Options
    method: str
    baseline: Told | None
    outcomes: list[Fired]
    learnt: Optics
    hands: Hands

    def work(self, pieces: int) -> list[Delivery]:
        """What each piece took."""
        rng = self.world.rng("loop")
        told = []
        for number in range(pieces):
            told.append(self._piece(number, rng))
            if self.method == "learning":
                self._learn()
        return told

    def _piece(self, number: int, rng: np.random.Generator) -> Delivery:
        zones = [self._zone(number, i, rng) for i in range(2)]
        pieces = [zone[0] for zone in zones]
        for firing in range(1, MOST_FIRINGS + 1):
            heat, open_zones = self.world.heat_of(rng), 0
            for i, (_, target, tissue) in enumerate(zones):
                before = self.world.read(pieces[i], rng=rng)
                if firing > 1 and self._met(before, target, tissue):
                    continue
                layers = self._advised(pieces[i], before, target, tissue, MOST_FIRINGS - firing + 1)
                lots = {name: LOT for layer in layers for name in layer.pot.stains}
                fired = self.world.fire(pieces[i], layers, operator=HAND, lots=lots, rng=rng, heat=heat)
                after = self.world.read(fired, rng=rng)
                if layers:
                    key = f"{number} {i} {firing}"
                    self.outcomes.append(self._outcome(key, f"{number} {firing}", pieces[i], before, layers, after))
                pieces[i] = fired
                open_zones += not self._met(after, target, tissue)
            if open_zones == 0:
                return Delivery(firing == 1, firing, True)
        return Delivery(False, MOST_FIRINGS, False)

    def _zone(self, number: int, i: int, rng: np.random.Generator) -> tuple[worlds.Piece, Array, str]:
        tissue = "gingiva" if i == 1 and rng.random() < 0.5 else "tooth"
        body = self.world.body(f"loop-{number}-{i}", tissue)
        light = [layer for layer in self.options.layers if (1.0 - layer.pot.clear) * layer.coats <= 0.75]
        layers = (light[int(rng.integers(len(light)))],)
        return body, lab_of(self.world.read(self.world.fire(body, layers, ideal=True))), tissue

    def _met(self, reading: Array, target: Array, tissue: str) -> bool:
        return bool(delta_e_2000(lab_of(reading), target) <= thresholds(tissue).acceptable)

    def _advised(self, piece: worlds.Piece, before: Array, target: Array, tissue: str, left: int) -> Layers:
        if self.baseline is not None:
            return best(self.baseline, before, piece.surface, target, self.options, layers=1)[0]
        ceramic = self.learnt.ceramic(MATERIAL)
        stray = ceramic.stray if piece.surface == "matt" else 0.0
        start = Start(Piece(before, piece.surface, stray, ceramic), "zone", covariance=NOISE**2 * np.eye(31))
        L, a, b = (float(value) for value in target)
        problem = ZoneProblem((11, "middle"), tissue, start, (L, a, b), Viewing(), thresholds(tissue))
        limits = Limits(firings_left=left, layers=1, coats=2, strengths=DEFAULT_SHARES)
        bench = Bench(self.learnt, tuple(self.world.stains), hands=self.hands, limits=limits)
        moves = advise_case(bench, [problem], stage="sintered").zones[0].moves
        return moves[0].layers if moves else ()

    def _outcome(
        self, key: str, firing: str, piece: worlds.Piece, before: Array, layers: Layers, after: Array
    ) -> Fired:
        return Fired(
            key=key,
            reading=before,
            surface=piece.surface,
            ceramic=self.optics.ceramic(MATERIAL),
            layers=layers,
            after=after,
            covariance=np.diag((NOISE / after) ** 2 + (NOISE / before) ** 2),
            material=MATERIAL,
            operator=HAND,
            lots={name: LOT for layer in layers for name in layer.pot.stains},
            firing=firing,
        )

    def _learn(self) -> None:
        found = learn_factors(self.optics, self.outcomes)
        known = Known(found.factors, {}, found.scatters, found.new_hand, found.firing)
        jars = dict.fromkeys(self.world.stains, LOT)
        self.learnt = found.optics
        self.hands = hands_of(self.optics, {}, HAND, jars, known=known)


def loop_of(world: worlds.World, optics: Optics, method: str, baseline: Told | None = None) -> Loop:
    """A lab that starts to work with other hand and jars than its chips'; a baseline learns its chips unless given."""
    options = options_of(list(pots_of(tuple(world.stains), DEFAULT_SHARES)), 2)
    lots = dict.fromkeys(world.stains, (LOT, 0.0, LOT_SD))
    hands = Hands(HAND, (0.0, OPERATOR_SD), lots)
    if method == "perfect knowledge":
        known = {name: (LOT, float(np.log(world.lot_factor(name, LOT))), 0.0) for name in world.stains}
        hands = Hands(HAND, (float(np.log(world.operator_factor(HAND))), 0.0), known)
    if method in BASELINES and baseline is None:
        baseline = BASELINES[method](fired_chips(world))
    return Loop(world, optics, options, method, baseline, [], optics, hands)


def told_of(results: Iterable[list[Delivery]], after: int) -> tuple[float, float]:
    """Share accepted at the first firing and firings a piece, of the pieces after the first ``after``."""
    late = [one for result in results for one in result[after:]]
    return float(np.mean([one.first for one in late])), float(np.mean([one.firings for one in late]))


def main() -> None:
    """Print the table: method, hand scatter, first-firing rate and firings a piece after seven pieces."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--first", type=int, default=400, help="seed of the first lab")
    parser.add_argument("--pieces", type=int, default=20)
    parser.add_argument("--after", type=int, default=7)
    parser.add_argument("--hand", type=float, action="append", help="only hands that scatter so; all without it")
    parser.add_argument("--method", action="append", choices=METHODS, help="only these methods; all without it")
    asked = parser.parse_args()
    print("| labs | hand, a coat | method | accepted at the first firing | firings a piece |\n|---|---|---|---|---|")
    for matt in (False, True):
        for hand, methods in ((0.12, METHODS), (0.07, METHODS[:1]), (0.15, METHODS[:1]), (0.30, METHODS[:1])):
            methods = tuple(one for one in methods if one in (asked.method or METHODS))
            if hand not in (asked.hand or [hand]):
                continue
            made = [bench_world(seed, matt, hand) for seed in range(asked.first, asked.first + asked.seeds)]
            optics = [learn(world) for world in made]
            by_lab = {}
            for method in methods:
                done = [loop_of(w, o, method).work(asked.pieces) for w, o in zip(made, optics, strict=True)]
                first, firings = told_of(done, asked.after)
                kind = "matt" if matt else "glazed"
                print(f"| {kind} | {hand:.0%} | {method} | {first:.0%} | {firings:.2f} |", flush=True)
                begin, more = told_of([result[: asked.after] for result in done], 0)
                print(f"| {kind} | {hand:.0%} | {method}, until then | {begin:.0%} | {more:.2f} |", flush=True)
                by_lab[method] = np.array([told_of([one], asked.after) for one in done])
            if {METHODS[0], METHODS[2]} <= by_lab.keys() and len(made) > 1:
                apart = by_lab[METHODS[0]] - by_lab[METHODS[2]]  # the same labs: mean and standard error
                (first, firings), error = apart.mean(axis=0), apart.std(axis=0, ddof=1) / np.sqrt(len(made))
                says = f"{first:+.1%} ± {error[0]:.1%} | {firings:+.2f} ± {error[1]:.2f}"
                print(f"| {kind} | {hand:.0%} | learning against perfect knowledge | {says} |", flush=True)


def bench_world(seed: int, matt: bool, hand: float) -> worlds.World:
    """A lab of eight stains whose hands differ by 18 % and whose jars by 20 %."""
    return worlds.World(seed=seed, matt=matt, hand=hand, operators=0.18, lots=0.2, stains=FAMILIES)


if __name__ == "__main__":
    main()
