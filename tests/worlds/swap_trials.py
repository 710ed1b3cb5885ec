"""How often readings are asked about that stand right, and swapped ones found: ``python -m tests.worlds.swap_trials``.

Simulated labs, matt and glazed in turn, eight front teeth of three zones: two mixes a tooth, coats that differ from
zone to zone, mirror teeth alike, painted by a hand of 12 % a coat (or as asked) that the chips did not know. What comes
out is held against what the lab's chips forecast, as `record` does; then two readings are given the other way round.
A zone's answer to more or less stain is a parabola through three firings, so that a plan can be fired many times.
Seeds from 701; written before a constant of `work/reading/swapped.py` was tried on them.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

import numpy as np

from stainbook.optics.forecast import Hands
from stainbook.records import Layer, Pot
from stainbook.work.reading.optical import lab_on_grid, optical
from stainbook.work.reading.swapped import ReadAgain, stained_doubt, swapped
from stainbook.work.stains.predict import LabOptics, forecasts_on
from tests.worlds.lab import Piece, World
from tests.worlds.ladder import OTHER, SEEN, Row, lab_read, world_of
from tests.worlds.samples import to_reading

TEETH = (14, 13, 12, 11, 21, 22, 23, 24)
ZONES = ("cervical", "middle", "incisal")
FIRST_SEED = 701
AMOUNTS = (0.6, 1.0, 1.6)  # that each zone's answer to more or less stain is worked out from
SEATED = 0.005  # of all bands together, when the instrument is set down


def arches(row: Row, seed: int, plans: int, fired: int) -> Iterator[list[ReadAgain]]:
    """Arches of a lab, each zone with what was expected and read; each plan is fired several times."""
    world = world_of(row, seed, matt=bool(seed % 2))
    found, _ = lab_read(row, world)
    known = LabOptics(found.optics, {}, {}, {})
    for number in range(plans):
        yield from _fired(world, known, number, fired)


def _fired(world: World, known: LabOptics, number: int, times: int) -> Iterator[list[ReadAgain]]:
    rng = world.rng("arch", str(number))
    body = world.body(f"arch-{number}")
    before = optical(to_reading("before", world.read(body, rng=rng), body.surface))
    plan = _plan(world, rng)
    told = forecasts_on(before, list(plan.values()), known, Hands(), finish="glaze", material="zirconia", key="zone")
    expected = dict(zip(plan, (lab_on_grid(one.reflectance, SEEN) for one in told), strict=True))
    start = lab_on_grid(before.reflectance, SEEN)
    answers = {place: _answer(world, body, layers) for place, layers in plan.items()}
    for _ in range(times):
        heat = np.log(world.heat_of(rng))
        yield [
            ReadAgain(
                f"{tooth} {zone}",
                expected[place],
                stained_doubt(start, expected[place]),
                lab_on_grid(_came(world, answers[place], plan[place], heat, rng), SEEN),
            )
            for tooth in TEETH
            for zone in ZONES
            for place in [(tooth % 10, zone)]
        ]


def _answer(world: World, body: Piece, layers: tuple[Layer, ...]) -> np.ndarray:
    """(3, 31) ln reflectance as a parabola in ln amount, through three firings of a hand without scatter."""
    steady = replace(world, hand=0.0)
    rng = world.rng("steady")
    fired = [np.log(world.read(steady.fire(body, layers, operator=OTHER, rng=rng, heat=heat))) for heat in AMOUNTS]
    return np.polyfit(np.log(AMOUNTS), np.array(fired), 2)


def _came(
    world: World, answer: np.ndarray, layers: tuple[Layer, ...], heat: float, rng: np.random.Generator
) -> np.ndarray:
    """What one hand made of a zone, as it was read."""
    amount = heat + np.log(rng.lognormal(0.0, world.hand, layers[0].coats).mean())
    seated = np.exp(SEATED * rng.standard_normal())
    noise = 1.0 + world.noise * rng.standard_normal(31)
    return np.exp(answer[0] * amount**2 + answer[1] * amount + answer[2]) * seated * noise


def _plan(world: World, rng: np.random.Generator) -> dict[tuple[int, str], tuple[Layer, ...]]:
    """Layers by place in the row and zone: two mixes for all, coats as the zone and the tooth have it."""
    names = [str(one) for one in rng.choice(list(world.stains), 2, replace=False)]
    mixes = [Pot.of({name: float(rng.choice([1 / 16, 1 / 8, 1 / 4]))}) for name in names]
    plan = {}
    for place in (1, 2, 3, 4):
        for zone in ZONES:
            coats = int(rng.integers(1, 4)) if zone != "incisal" else int(rng.integers(1, 3))
            plan[place, zone] = (Layer(mixes[zone == "incisal"], coats),)
    return plan


def crossed(zones: list[ReadAgain], one: int, other: int) -> list[ReadAgain]:
    """The same arch with two readings under each other's names."""
    changed = list(zones)
    changed[one] = replace(zones[one], read=zones[other].read)
    changed[other] = replace(zones[other], read=zones[one].read)
    return changed


def counted(row: Row, seeds: int, plans: int, fired: int) -> str:
    """One line: honest arches that were asked about, swaps found by how far the two zones lie apart."""
    asked, total = 0, 0
    hits: Counter[str] = Counter()
    tried: Counter[str] = Counter()
    wrong = 0
    for seed in range(FIRST_SEED, FIRST_SEED + seeds):
        for zones in arches(row, seed, plans, fired):
            total += 1
            asked += bool(swapped(zones))
            rng = np.random.default_rng([seed, total])
            pairs = list(combinations(range(len(zones)), 2))
            for k in rng.choice(len(pairs), 6, replace=False):
                one, other = pairs[k]
                apart = float(np.linalg.norm(zones[one].expected - zones[other].expected))
                kind = "apart by 2 to 4" if 2.0 <= apart < 4.0 else "by 4 to 8" if apart < 8.0 else "by 8 or more"
                if apart < 2.0:
                    continue
                told = swapped(crossed(zones, one, other))
                found = [line for line in told if zones[one].name in line and zones[other].name in line]
                tried[kind] += 1
                hits[kind] += bool(found)
                wrong += any(line not in found for line in told)
    shares = ", ".join(f"{kind} {hits[kind]} of {tried[kind]}" for kind in sorted(tried))
    return f"{row.name}: asked of {asked} of {total} honest arches; found: {shares}; another pair named {wrong} times"


def main() -> None:
    """Print a line for each kind of lab."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=10)
    parser.add_argument("--plans", type=int, default=4)
    parser.add_argument("--fired", type=int, default=20)
    asked = parser.parse_args()
    for row in (Row("hand 12 %"), Row("hand 30 %", {"hand": 0.30}), Row("noise 1 %", {"noise": 0.01})):
        print(counted(row, asked.seeds, asked.plans, asked.fired), flush=True)


if __name__ == "__main__":
    main()
