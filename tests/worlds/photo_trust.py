"""Whether misleading photos are refused, said or held: ``python -m tests.worlds.photo_trust frozen 10``.

Prints for each way of misleading, and for ordinary pictures of the same family, how many pictures were refused, how
many were said to be met badly (nothing of them is stored), and of the others median / P95 ΔE00 of zones that are not
flagged, the share of them inside the radius, and the median radius.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from stainbook.colour import WAVELENGTHS, delta_e_2000
from stainbook.errors import InputError
from stainbook.photo.doubt import Condition
from stainbook.photo.judge import settled
from stainbook.photo.measure import Outline, PhotoReading, measure, radius_of
from stainbook.photo.picture import Picture, srgb_curves
from stainbook.photo.target import ColourChart
from stainbook.photo.tissue_families import gum_models
from tests.worlds.photo_accuracy import picture_of, priors_of, target_of
from tests.worlds.photo_apart import APART
from tests.worlds.photo_kept import KEPT
from tests.worlds.photo_misleading import BOTH, FROZEN, LOOKED_AT, Misleading, twofold, worn
from tests.worlds.photo_scenes import EVERY_DAY, Scene
from tests.worlds.photo_spectra import NM, lab_of
from tests.worlds.photo_unseen import UNSEEN

SETS = {
    "looked-at": (LOOKED_AT, "test"),
    "frozen": (FROZEN, "blind"),
    "kept": (KEPT, "kept"),
    "unseen": (UNSEEN, "unseen"),
    "apart": (APART, "apart"),
}
ORDINARY = (
    Misleading("ordinary", encodings=BOTH),
    Misleading("ordinary, slightly worn", table=worn(0.02, 0.05), encodings=BOTH),
)


@dataclass(frozen=True)
class Held:
    """A zone of a picture that was measured and not said to be met badly."""

    kind: str
    error: float
    radius: float


@dataclass(frozen=True)
class Trusted:
    """What came of the pictures of one kind."""

    refused: int
    said: int
    zones: tuple[Held, ...]

    @property
    def inside(self) -> float:
        """Share of zones inside their radius; of no zones at all, all."""
        return float(np.mean([zone.error <= zone.radius for zone in self.zones])) if self.zones else 1.0


def believed(case: Misleading, scene: Scene, rng: np.random.Generator) -> ColourChart:
    """The chart as the table that is used has it."""
    curves = case.table(scene.world.chart, rng)
    return replace(target_of(scene.world), reflectance=np.array([np.interp(WAVELENGTHS, NM, one) for one in curves]))


def stated(picture: Picture, encoding: str | None) -> Picture:
    """The picture with the encoding that a scene states."""
    if encoding is None:
        return picture
    return replace(
        picture, encoding=encoding, curves=srgb_curves(int(picture.full) + 1) if encoding == "srgb" else None
    )


def read(scene: Scene, case: Misleading, encoding: str, rng: np.random.Generator) -> tuple[PhotoReading, Condition]:
    """A scene spoilt and read as a user would; raises InputError where it is refused."""
    picture = picture_of(case.spoil(scene, rng), encoding)
    if case.finish is not None:
        picture = replace(picture, pixels=case.finish(np.asarray(picture.pixels), rng))
    picture = stated(picture, case.stated)
    target, corners = believed(case, scene, rng), case.corners(scene.corners)
    picture = settled(picture, corners, target).picture
    outlines = [Outline(zone.kind, zone.polygon) for zone in scene.zones]
    found = measure(
        picture, corners, target, outlines, priors_of(scene.world), illuminant="D65", observer=10,
        tissues={"living gum": gum_models()},
    )  # fmt: skip
    return found, Condition(picture.encoding, even=False, tab=False)


def trusted(case: Misleading, encoding: str, which: str, seeds: Sequence[int]) -> Trusted:
    """What comes of pictures of a family that mislead in one way."""
    refused, said, zones = 0, 0, []
    for seed in seeds:
        scene = twofold(seed, which, EVERY_DAY if "worn" in case.name else None)
        try:
            reading, condition = read(scene, case, encoding, np.random.default_rng([seed, 77]))
        except InputError:
            refused += 1
            continue
        if reading.troubles:
            said += 1
            continue
        zones += list(_held(scene, reading, condition))
    return Trusted(refused, said, tuple(zones))


def _held(scene: Scene, reading: PhotoReading, condition: Condition) -> Iterator[Held]:
    for truth, found in zip(scene.zones, reading.zones, strict=True):
        if not found.mean.flagged:
            error = float(delta_e_2000(found.lab, lab_of(truth.curve)))
            yield Held(truth.kind, error, radius_of(reading, found, condition))


def main(arguments: list[str] | None = None) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("which", choices=SETS)
    parser.add_argument("scenes", type=int)
    parser.add_argument("--first", type=int, default=0)
    given = parser.parse_args(arguments)
    cases, family = SETS[given.which]
    seeds = range(given.first, given.first + given.scenes)
    sums: dict[str, list[Held]] = {"ordinary": [], "misleading": []}
    print(f"{'':28s}{'':7s}refused  said  zones  median / P95  inside  radius   living gum: inside")
    for case in (*ORDINARY, *(case for case in cases if not case.must_refuse)):
        for encoding in case.encodings:
            found = trusted(case, encoding, family, seeds)
            sums["ordinary" if case in ORDINARY else "misleading"] += found.zones
            gum = [zone for zone in found.zones if zone.kind == "living gum"]
            rest = [zone for zone in found.zones if zone.kind != "living gum"]
            inside = f"{np.mean([one.error <= one.radius for one in gum]):.2f}" if gum else "-"
            print(f"{case.name:28s}{encoding:7s}{found.refused:7d}{found.said:6d}{_cells(rest)}   {inside}", flush=True)
    for name, zones in sums.items():
        print(f"{name + ', all':35s}{'':13s}{_cells([zone for zone in zones if zone.kind != 'living gum'])}")


def _cells(zones: Sequence[Held]) -> str:
    if not zones:
        return f"{0:7d}"
    errors, radii = (np.array([getattr(zone, name) for zone in zones]) for name in ("error", "radius"))
    spread = f"{np.median(errors):.1f} / {np.quantile(errors, 0.95):.1f}"
    return f"{len(zones):7d}  {spread:>12s}  {np.mean(errors <= radii):6.2f}  {np.median(radii):6.1f}"


if __name__ == "__main__":
    main()
