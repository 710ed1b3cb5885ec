"""What is predicted and learnt in a small made-up lab, as plain numbers: compared with those of an earlier version.

``same_numbers.json`` holds those of commit 735989f, when the physics stood in three places: for one stack, for a case,
for what was fired.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from stainbook.match.factors import LearntFactors
from stainbook.match.fired import Fired
from stainbook.match.learning import learn
from stainbook.records import Layer, Layers, Pot
from tests.match.lab import CERAMIC, FAMILIES, bench_of, optics_of, tooth

CASES = (("glazed", "surface", True), ("matt", "surface", True), ("polished", "surface", False))
STACKS: tuple[Layers, ...] = (
    (),
    (Layer(Pot.of({"husk": 0.25}), 2),),
    (Layer(Pot.of({"teasel": 0.5, "slate": 0.125}), 1),),
    (Layer(Pot.of({"husk": 1.0}), 1, firings=3), Layer(Pot.of({"rosehip": 0.0625, "tide": 0.25}), 3)),
)


def bench(kind):
    """A bench with a hand, a jar and a doubt of its own; its firings differ as was usual when the numbers were kept."""
    made, lots = bench_of(kind=kind), {"husk": ("24-117", 0.1, 0.12)}
    hands = replace(made.hands, operator="bench-2", operator_ln=(0.05, 0.1), lots=lots, firing=0.05)
    return replace(made, hands=hands)


def outcomes(surface: str, predicted) -> list[Fired]:
    """Fired zones of two hands and a new jar; ``predicted`` gives ln reflectance of stacks on a reading."""
    rng, made = np.random.default_rng(17), []
    for i in range(24):
        reading = tooth(float(rng.uniform(0.4, 0.7)))
        names = rng.choice(list(FAMILIES), 2, replace=False)
        layers = (Layer(Pot.of({str(names[0]): 0.5, str(names[1]): 0.125}), 1 + i % 2),)
        ln = predicted(reading, surface, layers) * (1.0 + 0.15 * (i % 3)) + 0.004 * rng.standard_normal(31)
        made.append(
            Fired(
                f"z{i}", reading, surface, CERAMIC, layers, np.minimum(reading * np.exp(ln), 0.99), 1e-5 * np.eye(31),
                "zirconia", f"bench-{1 + i % 2}", lots={"husk": "new"}, firing=f"f{i // 3}",
            )
        )  # fmt: skip
    return made


def told(found: LearntFactors) -> dict[str, list[float]]:
    """Factors and scatters, by name."""
    out = {" ".join(map(str, key)): [one.ln, one.sd] for key, one in sorted(found.factors.items(), key=str)}
    out |= {f"scatter {name}": [one.ln, one.sd] for name, one in sorted(found.scatters.items())}
    curve = found.optics.stains["husk"]
    out["husk"] = [float(curve.mean[:31].mean()), float(np.trace(curve.factor @ curve.factor.T))]
    return out | {"held": sorted(found.held.values()), "firing": [found.firing]}


def learnt(surface: str, predicted) -> dict[str, list[float]]:
    """What those outcomes teach."""
    return told(
        learn(optics_of(), outcomes(surface, predicted), families={n: ("surface", f) for n, f in FAMILIES.items()})
    )
