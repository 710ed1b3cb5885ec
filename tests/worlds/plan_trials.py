"""Plans tried in simulated labs whose light is not the model's: python -m tests.worlds.plan_trials.

Each lab asks one case of zones for colours that layers of four mixes give, within one drying and four coats; a plan
of so many mixes is then fired by hand, many times over, since a case is in tolerance or not as a whole. All zones of
a firing share its heat.

The targets are of three kinds: ``own``, layers of mixes that the plan may choose too, so that what the program
does not know of them can cancel out; ``between``, of mixes between the lab's strengths; ``elsewhere``, colours that
the program expects of such layers, so that what it does not know shows in full, as with a guide's tab.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from stainbook.colour import WAVELENGTHS, delta_e_2000, thresholds
from stainbook.match import Bench, Start, ZoneProblem
from stainbook.match.layer_options import options_of, pots_of
from stainbook.match.plan import Plan, plan_case
from stainbook.optics.curves import Optics
from stainbook.optics.film import Piece
from stainbook.optics.forecast import ForecastRequest, Hands
from stainbook.records import Layers, Pot, Viewing
from tests.worlds import lab as worlds
from tests.worlds.blind_trials import HIGHEST, LIMITS, MATERIAL, NOISE, lab_of, learn

MADE_FROM = 4  # mixes
COATS = 4  # on a zone
FIRED = 24  # times that each plan is fired
STRENGTHS = (0.0625, 0.125, 0.25, 0.5)
TEETH = (16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26)


@dataclass(frozen=True)
class Tried:
    """One plan: mixes and layers used, a zone claimed and hit, the case claimed and met, ΔE00 without hand error."""

    used: int
    coats: float
    claimed: float
    hit: float
    case_claimed: float
    case_met: float
    dE00: float


Case = list[tuple[worlds.Piece, ZoneProblem]]  # zones with what only the lab knows of them


def run(world: worlds.World, count: int, mixes: int, targets: str = "own") -> Tried:
    """The plan of one lab's case."""
    optics, rng = learn(world), world.rng("plans")
    bench = bench_of(world, optics)
    zones = case_of(world, bench, count, targets, rng)
    plan = plan_case(bench, [one for _, one in zones], stage="blasted" if world.matt else "stained", most=mixes)
    return _tried(world, zones, plan, rng)


def bench_of(world: worlds.World, optics: Optics) -> Bench:
    """The hand of the chips, two layers, up to two coats each."""
    families = {name: ("surface", family) for name, family in world.stains.items()}
    limits = replace(LIMITS, strengths=STRENGTHS)
    return Bench(optics, tuple(world.stains), families, Hands(operator="bench-1"), limits)


def case_of(world: worlds.World, bench: Bench, count: int, targets: str, rng: np.random.Generator) -> Case:
    """Zones that ask for what layers of four mixes give."""
    pots = [pot for pot in pots_of(tuple(world.stains), STRENGTHS) if 0.1 < 1.0 - pot.clear <= 0.5]
    made = [pots[int(i)] for i in rng.choice(len(pots), MADE_FROM, replace=False)]
    if targets != "own":
        made = [Pot(tuple((name, share * 2.0 ** rng.uniform(-0.5, 0.5)) for name, share in one.shares)) for one in made]
    own = options_of(made, 2)
    usual = [i for i, one in enumerate(own.layers) if (1.0 - one.pot.clear) * one.coats <= HIGHEST]
    zones = []
    for number in range(count):
        layers = tuple(own.layers[int(i)] for i in rng.choice(usual, size=rng.integers(1, 3)))
        body, problem = _zone(world, bench.optics, number, layers, rng)
        zones.append((body, _as_expected(bench, problem, layers) if targets == "elsewhere" else problem))
    return zones


def _zone(
    world: worlds.World, optics: Optics, number: int, layers: Layers, rng: np.random.Generator
) -> tuple[worlds.Piece, ZoneProblem]:
    body, ceramic = world.body(f"plan-{number}", "tooth"), optics.ceramic(MATERIAL)
    stray = ceramic.stray if world.matt else 0.0
    piece = Piece(world.read(body, rng=rng), body.surface, stray, ceramic)
    start = Start(piece, f"plan-{number}", covariance=NOISE**2 * np.eye(len(WAVELENGTHS)))
    L, a, b = (float(one) for one in lab_of(world.read(world.fire(body, layers, ideal=True))))
    key = (TEETH[number % len(TEETH)], ("cervical", "middle", "incisal")[number // len(TEETH) % 3])
    return body, ZoneProblem(key, "tooth", start, (L, a, b), Viewing(), thresholds("tooth"))


def _as_expected(bench: Bench, problem: ZoneProblem, layers: Layers) -> ZoneProblem:
    """The zone with the colour for its target that the program expects of the layers, not the one that they give."""
    found = bench.forecasts([ForecastRequest(problem.now, layers, True, problem.name)])
    L, a, b = (float(one) for one in lab_of(np.exp(found.ln_reflectance[0])))
    return replace(problem, target=(L, a, b))


def fired_often(
    world: worlds.World, zones: Case, stacks: Sequence[Layers], rng: np.random.Generator, times: int = FIRED
) -> tuple[np.ndarray, np.ndarray]:
    """ΔE00 (n,) of each zone without hand error, and whether it was in tolerance (n, times); a firing has one heat."""
    hits, far = [], []
    heats = [world.heat_of(rng) for _ in range(times)]
    for (body, problem), layers in zip(zones, stacks, strict=True):
        target, limit = np.array(problem.target), problem.thresholds.acceptable
        far.append(float(delta_e_2000(lab_of(world.read(world.fire(body, layers, ideal=True))), target)))
        by_hand = [world.fire(body, layers, operator="bench-1", rng=rng, heat=heat) for heat in heats]
        hits.append([bool(delta_e_2000(lab_of(world.read(one)), target) <= limit) for one in by_hand])
    return np.array(far), np.array(hits)


def _tried(world: worlds.World, zones: Case, plan: Plan, rng: np.random.Generator) -> Tried:
    far, hits = fired_often(world, zones, [one.move.layers for one in plan.zones], rng)
    met = hits.all(axis=0).mean()
    coats = [sum(layer.coats for layer in one.move.layers) for one in plan.zones]
    claimed = np.mean([one.move.accept for one in plan.zones])
    return Tried(
        len(plan.pots), float(np.mean(coats)), float(claimed), float(np.mean(hits)), plan.accept, float(met),
        float(np.mean(far)),
    )  # fmt: skip


def main() -> None:
    """Print the figures of several labs, glazed and matt."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=6)
    parser.add_argument("--first", type=int, default=901)
    parser.add_argument("--targets", choices=("own", "between", "elsewhere"), default="own")
    parser.add_argument("--zones", type=int, default=24)
    parser.add_argument("--mixes", type=int, default=MADE_FROM)
    chosen = parser.parse_args()
    names = ("used", "coats", "claimed", "hit", "case_claimed", "case_met", "dE00")
    for matt in (False, True):
        every = []
        for seed in range(chosen.first, chosen.first + chosen.seeds):
            every.append(run(worlds.World(seed=seed, matt=matt), chosen.zones, chosen.mixes, chosen.targets))
            print("  ", seed, " ".join(f"{name} {getattr(every[-1], name):.2f}" for name in names), flush=True)
        said = " ".join(f"{name} {np.mean([getattr(one, name) for one in every]):.3f}" for name in names)
        print("matt" if matt else "glazed", said, flush=True)


if __name__ == "__main__":
    main()
