"""The same simulated labs worked by stainbook and by its baselines: what each tells, advises, plans and delivers.

Everything is paired: the same stripes, pieces, targets and chances of the hand for each way. What a lab gives is an
array by measure and way; labs are what the standard errors of `tests.benchmarks.proof` are taken over.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from stainbook.colour import delta_e_2000
from stainbook.match import advise_case
from stainbook.match.layer_options import options_of, pots_of
from stainbook.match.plan import plan_case
from stainbook.optics.curves import Optics
from stainbook.optics.film import Piece
from stainbook.optics.forecast import draw, forecast
from stainbook.records import Layers
from stainbook.work.stains.learnt import hands_of
from tests.worlds.baselines import BASELINES, Told, best, best_of_few, chance, radius
from tests.worlds.blind_trials import LIMITS, MATERIAL, Zone, fired_chips, lab_of, learn, zones_of
from tests.worlds.closed_loop import bench_world, loop_of
from tests.worlds.green_lab import BROAD
from tests.worlds.lab import World
from tests.worlds.ladder import DRAWS
from tests.worlds.pigments import Array
from tests.worlds.plan_trials import COATS, MADE_FROM, STRENGTHS, bench_of, case_of, fired_often
from tests.worlds.samples import trials
from tests.worlds.sequence_trials import FAMILIES as THIN_STAINS
from tests.worlds.sequence_trials import (
    SOAKING,
    THIN,
    Thin,
    Trial,
    advised,
    benches,
    fired_discs,
    fired_to,
    soaked_by,
)
from tests.worlds.sequence_trials import learn as learn_liquids
from tests.worlds.sequence_trials import zones_of as blank_zones

OWN = "stainbook"
WAYS = (OWN, *BASELINES)
BY_HAND = 4  # times that each advised step is fired by hand
SOAKED = 40  # liquids that a baseline tries a thin coat on

Found = dict[tuple[str, str], Array]  # by measure and way: one value a piece, zone or firing


@dataclass(frozen=True, eq=False)
class Bench:
    """One lab, what stainbook learnt of its stripes, and what the baselines did."""

    world: World
    optics: Optics
    told: dict[str, Told]

    @classmethod
    def of(cls, seed: int, *, matt: bool, hand: float) -> Bench:
        """A lab of a seed, its stripes learnt by all."""
        world = bench_world(seed, matt, hand)
        chips = fired_chips(world)
        return cls(world, learn(world), {name: make(chips) for name, make in BASELINES.items()})


# ---------------------------------------------------------------- prediction and its radius


def prediction(bench: Bench, count: int) -> Found:
    """ΔE00 of pieces as predicted to the layers without hand error and to what came out; the radius of 9 in 10."""
    rows: dict[str, list[tuple[float, float, float]]] = {way: [] for way in WAYS}
    bare: dict[str, list[float]] = {way: [] for way in WAYS}
    for number, one in enumerate(trials(bench.world, count)):
        ideal, after = lab_of(one.ideal), lab_of(one.after)
        glazed = lab_of(bench.world.read(bench.world.fire(one.body, (), ideal=True)))
        for way in WAYS:
            colour, held = _foretold(bench, way, one.before, one.body.surface, one.layers, one.operator, number)
            alone, _ = _foretold(bench, way, one.before, one.body.surface, (), one.operator, number)
            rows[way].append((_far(colour, ideal), _far(colour, after), held))
            bare[way].append(_far(alone, glazed))
    found: Found = {}
    for way in WAYS:
        ideal, after, held = np.array(rows[way]).T
        found |= {("to the layers as meant", way): ideal, ("to what the hand made", way): after}
        found |= {("radius", way): held, ("held", way): after <= held, ("glaze alone", way): np.array(bare[way])}
    return found


def _foretold(
    bench: Bench, way: str, before: Array, surface: str, layers: Layers, operator: str, number: int
) -> tuple[Array, float]:
    """The colour and the radius within which 9 in 10 are promised."""
    if way != OWN:
        told = bench.told[way]
        (colour,) = told.colours(before, surface, [layers])
        return colour, radius(told, colour, bench.world.rng("radius", str(number)))
    optics = bench.optics
    ceramic = optics.ceramic(MATERIAL)
    piece = Piece(before, surface, ceramic.stray if surface == "matt" else 0.0, ceramic)
    (one,) = forecast(optics, piece, [layers], key=str(number), hands=hands_of(optics, {}, operator, {}))
    colour = lab_of(one.reflectance)
    return colour, float(np.quantile(delta_e_2000(lab_of(np.exp(draw(one, DRAWS))), colour), 0.9))


def _far(one: Array, other: Array) -> float:
    return float(delta_e_2000(one, other))


# ---------------------------------------------------------------- advice and its chance


def advice(bench: Bench, count: int) -> Found:
    """The first step for zones that stain can reach, fired: how far, how often in tolerance, the chance told."""
    zones = zones_of(bench.world, bench.optics, count, ("reach",))
    found: Found = {}
    for way, steps in {way: list(_steps(bench, way, zones)) for way in WAYS}.items():
        far, claims, hits = [], [], []
        for number, (zone, (layers, claim)) in enumerate(zip(zones, steps, strict=True)):
            target, limit = np.array(zone.problem.target), zone.problem.thresholds.acceptable
            rng = bench.world.rng("by hand", str(number))  # the same luck for each way
            far.append(_far(lab_of(bench.world.read(bench.world.fire(zone.body, layers, ideal=True))), target))
            for _ in range(BY_HAND):
                done = bench.world.fire(zone.body, layers, operator="bench-1", rng=rng)
                hits.append(_far(lab_of(bench.world.read(done)), target) <= limit)
                claims.append(claim)
        met, claimed = np.array(hits, dtype=float), np.array(claims)
        found |= {("first step, no hand error", way): np.array(far), ("in tolerance", way): met}
        found |= {("chance told", way): claimed, ("Brier", way): (claimed - met) ** 2}
    return found


def _steps(bench: Bench, way: str, zones: Sequence[Zone]) -> Iterator[tuple[Layers, float]]:
    world = bench.world
    if way == OWN:
        own = replace(bench_of(world, bench.optics), limits=LIMITS)
        told = advise_case(own, [zone.problem for zone in zones], stage="blasted" if world.matt else "stained")
        for zone in told.zones:
            yield zone.moves[0].layers, zone.moves[0].accept
        return
    options = options_of(list(pots_of(tuple(world.stains), LIMITS.strengths)), LIMITS.coats)
    for number, zone in enumerate(zones):
        piece, target = zone.problem.now.piece, np.array(zone.problem.target)
        layers, colour = best(bench.told[way], piece.reading, zone.body.surface, target, options)
        rng = world.rng("chance", str(number))
        yield layers, chance(bench.told[way], colour, target, zone.problem.thresholds.acceptable, rng)


# ---------------------------------------------------------------- plan


def plan(bench: Bench, count: int, times: int) -> Found:
    """A case within four mixes, one drying and four coats, fired by hand several times: zones in tolerance."""
    world, own = bench.world, bench_of(bench.world, bench.optics)
    case = case_of(world, own, count, "between", world.rng("plan"))
    pieces = [(z.now.piece.reading, body.surface, np.array(z.target)) for body, z in case]
    options = options_of(list(pots_of(tuple(world.stains), STRENGTHS)), LIMITS.coats, in_all=COATS)
    found: Found = {}
    for way in WAYS:
        if way == OWN:
            told = plan_case(own, [z for _, z in case], stage="blasted" if world.matt else "stained", most=MADE_FROM)
            stacks = [zone.move.layers for zone in told.zones]
        else:
            stacks = best_of_few(bench.told[way], pieces, options, mixes=MADE_FROM, coats=COATS)
        far, hits = fired_often(world, case, stacks, world.rng("plan by hand"), times)
        found |= {("zone of a plan, no hand error", way): far, ("zones in tolerance", way): hits.ravel().astype(float)}
    return found


# ---------------------------------------------------------------- closed loop


def loop(bench: Bench, count: int) -> Found:
    """Pieces painted by another hand with other jars until they are in tolerance, three firings at most."""
    found: Found = {}
    for way in WAYS:
        told = bench.told.get(way)
        done = loop_of(bench.world, bench.optics, "learning" if way == OWN else way, told).work(count)
        found[("first firing", way)] = np.array([one.first for one in done], dtype=float)
        found[("firings", way)] = np.array([one.firings for one in done], dtype=float)
        found[("delivered", way)] = np.array([one.delivered for one in done], dtype=float)
    return found


# ---------------------------------------------------------------- from the unsintered piece


def sequence(seed: int, hand: float, count: int) -> Found:
    """Liquids, sintering and one thin coat: how far zones end from their targets, and how many are in tolerance."""
    trial = Trial(seed, hand)
    optics = learn_liquids(trial)
    first, thin = benches(optics)
    zones, discs = blank_zones(trial, optics, count), fired_discs(trial)
    found: Found = {}
    for way in WAYS:
        if way == OWN:
            soaked, _ = soaked_by(first, zones)
            coat: Thin = advised(thin)
        else:
            told = BASELINES[way](discs)
            soaked = [_liquids(told, zone.problem.now.piece.reading, np.array(zone.problem.target)) for zone in zones]
            coat = _nearest(told)
        ends = np.array(fired_to(trial, optics, coat, zones, soaked, trial.world.rng("sequence by hand")))
        found[("end of a sequence", way)] = ends[:, 0]
        found[("sequences in tolerance", way)] = (ends[:, 0] <= ends[:, 1]).astype(float)
    return found


def _liquids(told: Told, reading: Array, target: Array) -> Layers:
    """The liquids after which some thin coat comes nearest; a baseline adds the coat to them as one stack."""
    liquids = options_of(list(pots_of(tuple(BROAD), SOAKING.strengths)), SOAKING.coats)
    coats = options_of(list(pots_of(tuple(THIN_STAINS), THIN.strengths)), THIN.coats)
    soaked = [(), *((layer,) for layer in liquids.layers)]
    alone = told.colours(reading, "matt", soaked)
    near = np.argsort(delta_e_2000(alone, target))[:SOAKED]
    stacks = [(*soaked[i], coat) for i in near for coat in coats.layers]
    far = delta_e_2000(told.colours(reading, "matt", stacks), target)
    return soaked[near[int(np.argmin(far)) // len(coats.layers)]]


def _nearest(told: Told) -> Thin:
    options = options_of(list(pots_of(tuple(THIN_STAINS), THIN.strengths)), THIN.coats)
    return lambda problem: best(told, problem.now.piece.reading, "matt", np.array(problem.target), options, layers=1)[0]
