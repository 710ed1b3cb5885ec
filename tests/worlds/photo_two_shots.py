"""Gum by one shot and by two, one of them through a gel: ``python -m tests.worlds.photo_two_shots blind 20``.

Both shots are held by hand: target and pieces lie elsewhere in the second, the light falls otherwise, the camera
balances anew. Prints median / P95 ΔE00 (D65, 10 degrees) by kind, and the share inside the radius with its median.
Simulated.
"""

from __future__ import annotations

import argparse
from collections import defaultdict
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from stainbook.colour import delta_e_2000
from stainbook.errors import InputError
from stainbook.photo.doubt import Condition
from stainbook.photo.measure import Outline, measure, radius_of
from stainbook.photo.measure_two import with_second
from stainbook.photo.tissue_families import gum_models
from tests.worlds.photo_accuracy import picture_of, priors_of, target_of
from tests.worlds.photo_apart import two_filters
from tests.worlds.photo_scenes import Faults, Scene, printed, shoot
from tests.worlds.photo_sealed import gel
from tests.worlds.photo_spectra import KINDS, NM, SETS, family, lab_of
from tests.worlds.photo_unseen import two_dyes

Array = NDArray[np.float64]


def cyan(rng: np.random.Generator) -> Array:
    """A cyan gel: it lets blue and green through and takes the red, as made-up sheets differ."""
    edge, width = rng.normal(588, 8), rng.uniform(14, 26)
    return np.asarray(rng.uniform(0.02, 0.06) + rng.uniform(0.7, 0.85) / (1 + np.exp((NM - edge) / width)))


SHEETS = {"sealed": gel, "unseen": two_dyes, "apart": two_filters}


def two_shots(seed: int, which: str, faults: Faults | None = None) -> tuple[Scene, Scene]:
    """One scene shot twice, the second time through a gel."""
    world, faults = family(which), faults or Faults()
    rng = np.random.default_rng([seed, SETS.index(which), 41])
    product = world.cameras[rng.integers(len(world.cameras))] * world.lights[rng.integers(len(world.lights))][:, None]
    curves = [(kind, world.pieces[kind][rng.integers(len(world.pieces[kind]))]) for kind in KINDS for _ in range(2)]
    tab = world.pieces["fired tooth"][rng.integers(len(world.pieces["fired tooth"]))]
    chart, sheet = printed(world.chart, faults, rng), SHEETS.get(which, cyan)(rng)
    first, second = (
        shoot(seed, world, seen * 0.85 / seen.sum(axis=0).max(), chart, curves, tab, faults, rng)
        for seen in (product, product * sheet[:, None])
    )
    return first, replace(second, bare=first.response)


def paired(first: Scene, second: Scene, kind: str) -> list[tuple[Array, Array, Array]]:
    """Outlines of one kind in both shots, with the true curve."""
    others = [zone for zone in second.zones if zone.kind == kind]
    pairs = []
    for zone in (zone for zone in first.zones if zone.kind == kind):
        same = next(other for other in others if np.array_equal(other.curve, zone.curve))
        pairs.append((zone.polygon, same.polygon, zone.curve))
    return pairs


def judged(first: Scene, second: Scene, encoding: str) -> list[tuple[str, float, float, float, float, bool]]:
    """Kind, error and radius by one shot, error and radius by two, and whether two were used; unflagged zones."""
    target, condition = target_of(first.world), Condition(encoding, even=False, tab=False)
    rows = [(kind, *pair) for kind in KINDS for pair in paired(first, second, kind)]
    outlines = [[Outline(row[0], row[place]) for row in rows] for place in (1, 2)]
    light = {"illuminant": "D65", "observer": 10}
    gums = {"living gum": gum_models()}
    picture, priors = picture_of(first, encoding), priors_of(first.world)
    one = measure(picture, first.corners, target, outlines[0], priors, tissues=gums, **light)
    both = gums | {"fired gum": (first.world.lab_spectra["fired gum"],)}
    two = with_second(one, picture_of(second, encoding), second.corners, target, outlines[1], both, condition, **light)
    found = []
    for row, by_one, by_two in zip(rows, one.zones, two.zones, strict=True):
        if by_one.mean.flagged:
            continue
        true = lab_of(row[3])
        errors = [float(delta_e_2000(zone.lab, true)) for zone in (by_one, by_two)]
        radii = [radius_of(reading, zone, condition) for reading, zone in ((one, by_one), (two, by_two))]
        found.append((row[0], errors[0], radii[0], errors[1], radii[1], by_two.six is not None))
    return found


def main(arguments: list[str] | None = None) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("which", choices=SETS)
    parser.add_argument("scenes", type=int)
    parser.add_argument("--first", type=int, default=0)
    given = parser.parse_args(arguments)
    for encoding in ("linear", "srgb"):
        rows, refused = defaultdict(list), 0
        for seed in range(given.first, given.first + given.scenes):
            try:
                for kind, *values in judged(*two_shots(seed, given.which), encoding):
                    rows[kind].append(values)
            except InputError as error:
                refused += 1
                print("refused:", error)
        for kind, found in rows.items():
            e1, u1, e2, u2, used = np.array(found, dtype=float).T
            one = f"{np.median(e1):.2f} / {np.quantile(e1, 0.95):.2f} in {np.mean(e1 <= u1):.2f} of {np.median(u1):.1f}"
            two = f"{np.median(e2):.2f} / {np.quantile(e2, 0.95):.2f} in {np.mean(e2 <= u2):.2f} of {np.median(u2):.1f}"
            print(f"{encoding:7s}{kind:13s} one {one}   two {two}   used {used.mean():.2f}", flush=True)


if __name__ == "__main__":
    main()
