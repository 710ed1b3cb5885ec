"""Blind trials of the advice in simulated labs whose light is not the model's: python -m tests.worlds.blind_trials.

Each lab fires its chips, the optics are learnt from them, and zones ask for colours of three kinds:
those that random layers give (fired in the lab without hand error), those that the piece almost has,
and those far lighter than any stain can make it. The moves shown are then fired in the lab.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from stainbook.colour import WAVELENGTHS, delta_e_2000, spectrum_to_lab, thresholds
from stainbook.match import Bench, Start, ZoneAdvice, ZoneProblem, advise_case
from stainbook.match.layer_options import Options, options_of, pots_of
from stainbook.optics.calibrate import calibrate
from stainbook.optics.curves import Optics
from stainbook.optics.film import Piece
from stainbook.optics.fit import FiredChip
from stainbook.optics.forecast import OPERATOR_SD, Hands
from stainbook.records import DEFAULT_SHARES, Layers, Limits, Viewing
from tests.worlds import lab as worlds
from tests.worlds.pigments import Array
from tests.worlds.samples import chips, stains

MATERIAL = "zirconia"
NOISE = 0.001  # of a reading, relative: what the lab's instrument has
LIMITS = Limits(firings_left=2, layers=2, coats=2, strengths=DEFAULT_SHARES)
HIGHEST = 0.75  # full-strength coats of one random layer: more is rarely wanted
KINDS = ("reach", "reach", "reach", "there", "far")
CLOSEST = 60  # of the pairs that a lab's own table puts nearest to the target, fired exactly


@dataclass(frozen=True)
class Zone:
    """A zone of a blind trial, with what only the lab knows: the body, and the colour it has after the finish."""

    kind: str
    problem: ZoneProblem
    body: worlds.Piece
    finished: Array


@dataclass(frozen=True)
class Fired:
    """What came of one zone: ΔE00 of the best move shown and of the best possible, claims and hits, verdicts."""

    kind: str
    shown: float
    possible: float
    claims: tuple[float, ...]
    hits: tuple[bool, ...]
    verdict: str
    right: str


def lab_of(reflectance: Array) -> Array:
    """L*, a*, b* under D65 and 10 degrees."""
    return np.asarray(spectrum_to_lab(reflectance, WAVELENGTHS, illuminant="D65", observer=10))


def fired_chips(world: worlds.World, stripes: int = 7) -> list[FiredChip]:
    """The lab's chips ready for fitting."""
    made = chips(world, stripes)
    readings = {one.sample: np.array(one.reflectance) for one in made.readings}
    surface = {one.sample: one.surface for one in made.readings}
    return [
        FiredChip(
            name=one.chip,
            body=one.body,
            material=MATERIAL,
            layers=one.layers,
            body_reading=readings[one.body],
            body_surface=surface[one.body],
            reading=readings[one.chip],
            covariance=2.0 * NOISE**2 * np.eye(len(WAVELENGTHS)),
        )
        for one in made.chips
    ]


def learn(world: worlds.World, stripes: int = 7) -> Optics:
    """The optics that the lab's chips teach."""
    own = {stain.name: stain for stain in stains(world)}
    return calibrate(fired_chips(world, stripes), own, operator="bench-1").optics


def zones_of(world: worlds.World, optics: Optics, count: int, kinds: Sequence[str] = KINDS) -> list[Zone]:
    """Zones with targets of each kind in turn, the same for the same world."""
    rng = world.rng("blind")
    options = options_of(list(pots_of(tuple(world.stains), LIMITS.strengths)), LIMITS.coats)
    usual = [i for i, one in enumerate(options.layers) if (1.0 - one.pot.clear) * one.coats <= HIGHEST]
    return [_zone(world, optics, number, kinds[number % len(kinds)], options, usual, rng) for number in range(count)]


def _zone(
    world: worlds.World,
    optics: Optics,
    number: int,
    kind: str,
    options: Options,
    usual: Sequence[int],
    rng: np.random.Generator,
) -> Zone:
    tissue = "gingiva" if rng.random() < 0.25 else "tooth"
    body = world.body(f"blind-{number}", tissue)
    reading, ceramic = world.read(body, rng=rng), optics.ceramic(MATERIAL)
    finished = lab_of(world.read(world.fire(body, (), ideal=True)))
    if kind == "reach":
        layers = tuple(options.layers[int(i)] for i in rng.choice(usual, size=rng.integers(1, LIMITS.layers + 1)))
        target = lab_of(world.read(world.fire(body, layers, ideal=True)))
    elif kind == "there":
        target = finished + 0.6 * rng.standard_normal(3)
    else:
        target = finished + np.array([rng.uniform(6.0, 14.0), *rng.normal(0.0, 2.0, 2)])
    start = Start(
        Piece(reading, body.surface, ceramic.stray if world.matt else 0.0, ceramic),
        f"blind-{number}",
        covariance=NOISE**2 * np.eye(len(WAVELENGTHS)),
    )
    L, a, b = (float(value) for value in target)
    problem = ZoneProblem((number, "middle"), tissue, start, (L, a, b), Viewing(), thresholds(tissue))
    return Zone(kind, problem, body, finished)


# ---------------------------------------------------------------- the best possible


class Table:
    """What one lab's own options do to any of its bodies, from three of them: finds the best possible by force."""

    def __init__(self, world: worlds.World) -> None:
        self.world = world
        self.options = options_of(list(pots_of(tuple(world.stains), LIMITS.strengths)), LIMITS.coats)
        bodies = [world.body(name) for name in ("plate-dark", "blind-0", "plate-pale")]
        stacks = [(layer,) for layer in self.options.layers]
        self.first = _quotient(bodies, stacks, world)
        glazed = [world.fire(body, (), ideal=True) for body in bodies]
        self.next = _quotient(glazed, stacks, world) if world.matt else self.first

    def best(self, zone: Zone) -> float:
        """ΔE00 of the best stack within the limits, or of leaving: each layer with its best partners, fired exactly."""
        from scipy.spatial import cKDTree

        target = np.array(zone.problem.target)
        one = _after(self.first, self.world.read(zone.body))
        shift = lab_of(one) - zone.finished
        far = delta_e_2000(lab_of(one), target)
        singles = [self.options.layers[i : i + 1] for i in np.argsort(far)[:CLOSEST]]
        _, partner = cKDTree(shift).query(target - lab_of(one), k=6)
        bottom, top = np.repeat(np.arange(len(one)), 6), partner.ravel()
        two = _after(tuple(part[top] for part in self.next), one[bottom])
        nearest = np.argsort(delta_e_2000(lab_of(two), target))[:CLOSEST]
        doubles = [(self.options.layers[bottom[i]], self.options.layers[top[i]]) for i in nearest]
        fired = lab_of(self.world.fire_many(zone.body, [*singles, *doubles]))
        return float(min(delta_e_2000(fired, target).min(), delta_e_2000(zone.finished, target)))


def _quotient(bodies: Sequence[worlds.Piece], stacks: Sequence[Layers], world: worlds.World) -> tuple[Array, ...]:
    """a, b, c of (a + b x) / (1 + c x), from the readings before and after on three bodies."""
    x = [world.read(body) for body in bodies]
    y = [world.fire_many(body, stacks) for body in bodies]
    d12, d13 = (y[0] - y[1]) / (x[0] - x[1]), (y[0] - y[2]) / (x[0] - x[2])
    e12, e13 = (x[0] * y[0] - x[1] * y[1]) / (x[0] - x[1]), (x[0] * y[0] - x[2] * y[2]) / (x[0] - x[2])
    c = (d12 - d13) / (e13 - e12)
    b = d12 + c * e12
    return y[0] - b * x[0] + c * x[0] * y[0], b, c


def _after(numbers: tuple[Array, ...], x: Array) -> Array:
    a, b, c = numbers
    return np.clip((a + b * x) / (1.0 + c * x), 1e-4, 1.0)


# ---------------------------------------------------------------- trials


def run(world: worlds.World, count: int, *, operator: str = "bench-1", stripes: int = 7) -> list[Fired]:
    """Blind trials of one lab: advice, then the moves shown are fired."""
    optics = learn(world, stripes)
    zones = zones_of(world, optics, count)
    doubt = 0.0 if operator == "bench-1" else OPERATOR_SD
    families = {name: ("surface", family) for name, family in world.stains.items()}
    hands = Hands(operator=operator, operator_ln=(0.0, doubt))
    bench = Bench(optics, tuple(world.stains), families, hands, LIMITS)
    advice = advise_case(bench, [zone.problem for zone in zones], stage="blasted" if world.matt else "stained")
    table, rng = Table(world), world.rng("fired")
    return [_fired(world, table, zone, told, operator, rng) for zone, told in zip(zones, advice.zones, strict=True)]


def _fired(
    world: worlds.World, table: Table, zone: Zone, told: ZoneAdvice, operator: str, rng: np.random.Generator
) -> Fired:
    target, limit = np.array(zone.problem.target), zone.problem.thresholds.acceptable
    stacks = [move.layers for move in told.moves]
    shown = float(delta_e_2000(lab_of(world.fire_many(zone.body, stacks)), target).min())
    by_hand = [world.fire(zone.body, layers, operator=operator, rng=rng) for layers in stacks]
    hits = [bool(delta_e_2000(lab_of(world.read(one)), target) <= limit) for one in by_hand]
    possible = min(table.best(zone), shown)
    there = bool(delta_e_2000(zone.finished, target) <= limit)
    right = "leave" if there else "stain" if possible <= limit else "out of reach"
    claims = tuple(move.accept for move in told.moves)
    return Fired(zone.kind, shown, possible, claims, tuple(hits), told.verdict, right)


@dataclass(frozen=True)
class Figures:
    """The figures of many trials: how far the best move shown stays behind the best possible, odds, verdicts."""

    behind_median: float
    behind_p90: float
    claimed: float
    hit: float
    brier: float
    brier_base: float
    verdicts: float

    def __str__(self) -> str:
        return (
            f"behind the best {self.behind_median:.2f} median {self.behind_p90:.2f} P90 ΔE00;"
            f" claimed {self.claimed:.3f}, hit {self.hit:.3f}; Brier {self.brier:.3f} of {self.brier_base:.3f};"
            f" verdicts {self.verdicts:.2f}"
        )


def figures(fired: Sequence[Fired]) -> Figures:
    """The figures of these trials."""
    behind = np.array([one.shown - one.possible for one in fired])
    claims, hits = (np.concatenate([getattr(one, name) for one in fired]).astype(float) for name in ("claims", "hits"))
    return Figures(
        behind_median=float(np.median(behind)),
        behind_p90=float(np.quantile(behind, 0.9)),
        claimed=float(claims.mean()),
        hit=float(hits.mean()),
        brier=float(((claims - hits) ** 2).mean()),
        brier_base=float(hits.mean() * (1.0 - hits.mean())),
        verdicts=float(np.mean([one.verdict == one.right for one in fired])),
    )


def main() -> None:
    """Print the figures of several labs, glazed and matt."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=4)
    parser.add_argument("--zones", type=int, default=40)
    parser.add_argument("--operator", default="bench-1")
    parser.add_argument("--stripes", type=int, default=7)
    chosen = parser.parse_args()
    for matt in (False, True):
        every: list[Fired] = []
        for seed in range(301, 301 + chosen.seeds):
            world = worlds.World(seed=seed, matt=matt)
            own = run(world, chosen.zones, operator=chosen.operator, stripes=chosen.stripes)
            print("matt" if matt else "glazed", seed, figures(own), flush=True)
            every += own
        print("matt" if matt else "glazed", "all", figures(every), flush=True)
        for kind in dict.fromkeys(KINDS):
            print("   ", kind, figures([one for one in every if one.kind == kind]), flush=True)


if __name__ == "__main__":
    main()
