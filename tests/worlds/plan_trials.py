"""Palettes tried in simulated labs whose light is not the model's: python -m tests.worlds.plan_trials.

Each lab asks one case of zones for colours that random layers give; the plan's layers are then fired by hand,
many times over, since a case is accepted or not as a whole.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass

import numpy as np

from stainbook.colour import delta_e_2000
from stainbook.match import Bench
from stainbook.match.plan import Plan, plan_case
from stainbook.optics.forecast import Hands
from tests.worlds import lab as worlds
from tests.worlds.blind_trials import LIMITS, Zone, lab_of, learn, zones_of

MIXES = (2, 3, 4, 6, 26)
FIRED = 8  # times that each plan is fired


@dataclass(frozen=True)
class Tried:
    """One plan: mixes used, mean chance of a zone, claimed and hit, and ΔE00 of what was fired without hand error."""

    most: int
    used: int
    claimed: float
    hit: float
    dE00: float


def run(world: worlds.World, count: int) -> list[Tried]:
    """The plans of one lab's case, from few mixes to as many as wanted."""
    optics = learn(world)
    zones = [zone for zone in zones_of(world, optics, 2 * count) if zone.kind == "reach"][:count]
    families = {name: ("surface", family) for name, family in world.stains.items()}
    bench = Bench(optics, tuple(world.stains), families, Hands(operator="bench-1"), LIMITS)
    problems = [zone.problem for zone in zones]
    stage, rng = "blasted" if world.matt else "stained", world.rng("plans")
    return [_tried(world, zones, plan_case(bench, problems, stage=stage, most=n), n, rng) for n in MIXES]


def _tried(world: worlds.World, zones: list[Zone], plan: Plan, most: int, rng: np.random.Generator) -> Tried:
    hits, far = [], []
    for zone, planned in zip(zones, plan.zones, strict=True):
        target, limit, layers = np.array(zone.problem.target), zone.problem.thresholds.acceptable, planned.move.layers
        far.append(float(delta_e_2000(lab_of(world.read(world.fire(zone.body, layers, ideal=True))), target)))
        by_hand = (world.fire(zone.body, layers, operator="bench-1", rng=rng) for _ in range(FIRED))
        hits.append([bool(delta_e_2000(lab_of(world.read(one)), target) <= limit) for one in by_hand])
    claimed = float(np.mean([planned.move.accept for planned in plan.zones]))
    return Tried(most, len(plan.pots), claimed, float(np.mean(hits)), float(np.mean(far)))


def main() -> None:
    """Print the figures of several labs, by the number of mixes."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--zones", type=int, default=12)
    chosen = parser.parse_args()
    every = [
        tried
        for matt in (False, True)
        for seed in range(401, 401 + chosen.seeds)
        for tried in run(worlds.World(seed=seed, matt=matt), chosen.zones)
    ]
    for most in MIXES:
        own = [one for one in every if one.most == most]
        names = ("used", "claimed", "hit", "dE00")
        used, claimed, hit, far = (np.mean([getattr(one, name) for one in own]) for name in names)
        print(f"{most} mixes, used {used:.1f}: a zone claimed {claimed:.2f}, hit {hit:.2f}, ΔE00 {far:.2f}", flush=True)


if __name__ == "__main__":
    main()
