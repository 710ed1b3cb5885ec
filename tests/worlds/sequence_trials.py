"""From the blank to the first stain firing in simulated labs: python -m tests.worlds.sequence_trials.

Zones of blanks ask for colours that one liquid and one thin coat of surface stain give. Each is advised unsintered,
coloured and sintered by hand, read, advised again with one thin coat, and fired by hand; beside it the same zones with
surface stain alone.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from stainbook.colour import WAVELENGTHS, delta_e_2000, thresholds
from stainbook.match import Bench, Start, ZoneProblem, advise_case
from stainbook.optics.calibrate import calibrate
from stainbook.optics.curves import Optics
from stainbook.optics.film import Piece
from stainbook.optics.fit import FiredChip
from stainbook.optics.forecast import Hands
from stainbook.records import Chip, Layer, Layers, Limits, Pot, Reading, Stain, Viewing
from tests.worlds import lab as worlds
from tests.worlds.blind_trials import MATERIAL, NOISE, lab_of
from tests.worlds.green_lab import BLANKS, BROAD, CHIPS, SINTERING_SD, GreenWorld
from tests.worlds.samples import chips, stains

FAMILIES = {"saddle": "brown", "barley": "yellow", "flour": "white", "thrift": "pink", "rook": "grey"}
THIN = Limits(firings_left=1, layers=1, coats=1, strengths=(1 / 16, 1 / 8, 1 / 4))
SOAKING = Limits(firings_left=1, layers=1, coats=3, strengths=(1 / 16, 1 / 8, 1 / 4, 1 / 2))


class Trial(GreenWorld):
    """A world whose furnace bears surface stain after sintering too."""

    @cached_property
    def world(self) -> worlds.World:
        """Where light and faces come from."""
        return worlds.World(seed=self.seed, matt=True, hand=self.hand, stains=dict(FAMILIES))

    def coloured(self, name: str, layers: Layers, rng: np.random.Generator | None) -> worlds.Piece:
        """A sintered piece of a blank with liquids in it."""
        depth, power = self.law
        doses = {stain: share * one.coats for one in layers for stain, share in one.pot.shares}
        whole = sum(doses.values())
        blank = self.blank(name, rng)
        if whole:
            hand = 1.0 if rng is None else float(rng.lognormal(0, SINTERING_SD) * rng.lognormal(0, self.hand))
            soaked = sum((dose * self.liquids[stain] for stain, dose in doses.items()), np.zeros(31))
            blank = replace(blank, soaked=hand * whole ** (power - 1.0) * soaked, soaked_depth=depth)
        return self.world.piece(blank)


@dataclass(frozen=True)
class Zone:
    """One zone: its blank, the colour that is wanted."""

    blank: str
    problem: ZoneProblem


def fired_discs(trial: Trial) -> list[FiredChip]:
    """Chips of liquids and of surface stains, ready for fitting."""
    made, rng = chips(trial.world, 7), trial.world.rng("liquid chips")
    readings = {one.sample: one for one in made.readings}
    fired = [_fired(one, readings, glazed=True) for one in made.chips]
    bare = {name: trial.read(name, (), None) for name in BLANKS}
    for stain in BROAD:
        for number, (body, share, coats) in enumerate(CHIPS):
            chip = Chip(f"{stain}-{number}", body, (Layer(Pot.of({stain: share}), coats),), "bench-1")
            own = bare | {chip.chip: replace(trial.read(body, chip.layers, rng), sample=chip.chip)}
            fired.append(_fired(chip, own, glazed=False))
    return fired


def learn(trial: Trial) -> Optics:
    """The optics that chips of liquids and of surface stains teach."""
    liquids = {name: Stain(name, "infiltrating", family) for name, family in BROAD.items()}
    own = {one.name: one for one in stains(trial.world)} | liquids
    return calibrate(fired_discs(trial), own, operator="bench-1").optics


def _fired(chip: Chip, readings: dict[str, Reading], *, glazed: bool) -> FiredChip:
    body = readings[chip.body]
    noise = 2.0 * NOISE**2 * np.eye(31)
    before, after = (np.array(one.reflectance) for one in (body, readings[chip.chip]))
    return FiredChip(chip.chip, chip.body, MATERIAL, chip.layers, before, body.surface, after, noise, glazed=glazed)


def benches(optics: Optics) -> tuple[Bench, Bench]:
    """Liquids with the thin coat that may follow, and that coat alone."""
    families = {name: ("surface", family) for name, family in FAMILIES.items()}
    families |= {name: ("infiltrating", family) for name, family in BROAD.items()}
    thin = Bench(optics, tuple(FAMILIES), families, Hands(operator="bench-1"), THIN)
    return replace(thin, stains=tuple(BROAD), limits=SOAKING, later=thin), thin


def start_of(trial: Trial, piece: worlds.Piece, optics: Optics, rng: np.random.Generator, name: str) -> Start:
    """A piece as it is read matt."""
    ceramic = optics.ceramic(MATERIAL)
    seen = Piece(trial.world.read(piece, rng=rng), "matt", ceramic.stray, ceramic)
    return Start(seen, name, covariance=NOISE**2 * np.eye(len(WAVELENGTHS)))


def zones_of(trial: Trial, optics: Optics, count: int) -> list[Zone]:
    """Zones whose targets a liquid and a thin coat make."""
    rng, found = trial.world.rng("wanted"), []
    for i in range(count):
        blank = BLANKS[i % len(BLANKS)]
        names = rng.choice(list(BROAD), size=2, replace=False)
        soaked = (
            Layer(Pot.of({str(one): float(rng.choice([1 / 8, 1 / 4])) for one in names}), int(rng.integers(1, 3))),
        )
        coat = (Layer(Pot.of({str(rng.choice(list(FAMILIES))): float(rng.choice(THIN.strengths))})),)
        wanted = lab_of(trial.world.read(trial.world.fire(trial.coloured(blank, soaked, None), coat, ideal=True)))
        L, a, b = (float(one) for one in wanted)
        start = start_of(trial, trial.coloured(blank, (), None), optics, rng, f"{blank} {i}")
        found.append(Zone(blank, ZoneProblem((11, f"z{i}"), "tooth", start, (L, a, b), Viewing(), thresholds("tooth"))))
    return found


Thin = Callable[[ZoneProblem], Layers]  # the coat that a way of advising puts on a sintered piece


def advised(thin: Bench) -> Thin:
    """The first coat of the advice."""

    def coat(problem: ZoneProblem) -> Layers:
        moves = advise_case(thin, [problem], stage="sintered").zones[0].moves
        return moves[0].layers if moves else ()

    return coat


def soaked_by(first: Bench, zones: Sequence[Zone]) -> tuple[list[Layers], float]:
    """The liquids that the advice begins with, and the chance that it gives them in the mean."""
    told = advise_case(first, [one.problem for one in zones], stage="green").zones
    claimed = float(np.mean([one.moves[0].accept_within for one in told]))
    return [one.moves[0].layers if one.moves else () for one in told], claimed


def run(seed: int, count: int) -> tuple[float, float, float]:
    """Shares of zones in tolerance at the first stain firing: claimed, met, and met by surface stain alone."""
    trial = Trial(seed)
    optics = learn(trial)
    first, thin = benches(optics)
    zones, rng = zones_of(trial, optics, count), trial.world.rng("bench")
    soaked, claimed = soaked_by(first, zones)
    ways = (fired_to(trial, optics, advised(thin), zones, liquids, rng) for liquids in (soaked, [()] * count))
    sequence, alone = (float(np.mean([far <= limit for far, limit in way])) for way in ways)
    return claimed, sequence, alone


def fired_to(
    trial: Trial, optics: Optics, coat: Thin, zones: Sequence[Zone], soaked: Sequence[Layers], rng: np.random.Generator
) -> list[tuple[float, float]]:
    """How far from its target each zone ends and what its tolerance is: coloured, sintered, read, and a thin coat."""
    found = []
    for zone, liquids in zip(zones, soaked, strict=True):
        piece = trial.coloured(zone.blank, liquids, rng)
        there = replace(zone.problem, now=start_of(trial, piece, optics, rng, f"{zone.problem.name} sintered"))
        done = trial.world.fire(piece, coat(there), operator="bench-1", rng=rng)
        far = delta_e_2000(lab_of(trial.world.read(done)), np.array(zone.problem.target))
        found.append((float(far), zone.problem.thresholds.acceptable))
    return found


def main() -> None:
    """Print the figures of several labs."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=4)
    parser.add_argument("--zones", type=int, default=24)
    chosen = parser.parse_args()
    every = []
    for seed in range(701, 701 + chosen.seeds):
        every.append(run(seed, chosen.zones))
        print(seed, "claimed {:.2f}, met {:.2f}, surface stain alone {:.2f}".format(*every[-1]), flush=True)
    print("all", "claimed {:.2f}, met {:.2f}, surface stain alone {:.2f}".format(*np.mean(every, axis=0)), flush=True)


if __name__ == "__main__":
    main()
