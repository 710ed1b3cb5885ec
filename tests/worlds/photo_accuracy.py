"""How far photo colours are from the truth on rendered scenes: ``python -m tests.worlds.photo_accuracy test 100``.

Prints median / P95 ΔE00 (D65, 10 degrees) by kind of zone for each way of shooting, the share of zones inside the
stated 95 % radius, and the same for changes between two shots. Zones that are flagged are counted, not judged.
"""

from __future__ import annotations

import argparse
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from stainbook.colour import WAVELENGTHS, delta_e_2000, delta_e_2000_metric
from stainbook.photo.doubt import Condition
from stainbook.photo.field import light_field
from stainbook.photo.geometry import homography, project
from stainbook.photo.measure import Outline, PhotoReading, measure, radius_of
from stainbook.photo.photo_change import change_radius, taken_alike
from stainbook.photo.picture import Picture, srgb_curves
from stainbook.photo.target import ColourChart
from stainbook.photo.tissue_families import living_family
from tests.worlds.photo_scenes import FILL, WIDTH, Scene, as_uint16, compressed, developed, pair, render
from tests.worlds.photo_spectra import KINDS, NM, SETS, Family, lab_of

CURVES = srgb_curves(256)
TABLE_DOUBT = 0.012


@dataclass(frozen=True)
class Way:
    """A way of shooting."""

    encoding: str = "linear"
    flat: bool = False
    tab: bool = False
    polarised: bool = False
    grey_only: bool = False
    chart_only: bool = False  # no prior: material unknown

    @property
    def name(self) -> str:
        """In a few words."""
        words = ["raw" if self.encoding == "linear" else "JPEG", "greys" if self.grey_only else "chart"]
        flags = {"frame": self.flat, "tab": self.tab, "polarised": self.polarised, "unknown": self.chart_only}
        return " ".join(words + [word for word, on in flags.items() if on])

    @property
    def condition(self) -> Condition:
        """As the doubt's table has it."""
        return Condition(self.encoding, self.flat, self.tab, self.grey_only)


@dataclass(frozen=True)
class Judged:
    """One zone: its error, the stated radius, whether it was flagged, its share under glare."""

    kind: str
    error: float
    radius: float
    flagged: bool
    glare: float


def target_of(world: Family, *, grey_only: bool = False) -> ColourChart:
    """The chart's table, or that of its last row."""
    curves = np.array([np.interp(WAVELENGTHS, NM, curve) for curve in world.chart])[18 if grey_only else 0 :]
    names = tuple(f"P{number}" for number in range(1, len(curves) + 1))
    rows, columns = (1, 6) if grey_only else (4, 6)
    return ColourChart(rows, columns, names, curves, np.asarray(WAVELENGTHS), np.full(len(curves), TABLE_DOUBT), FILL)


def priors_of(world: Family) -> dict[str, np.ndarray]:
    """Likely reflectances by kind: living families, and the chips and bodies of the lab that fired the piece."""
    living = {"living tooth": living_family("tooth"), "living gum": living_family("gingiva")}
    return living | world.lab_spectra


def picture_of(scene: Scene, encoding: str) -> Picture:
    """The scene as a linear file of 16 bits or as a JPEG."""
    if encoding == "srgb":
        return Picture(compressed(developed(scene)), "srgb", CURVES)
    return Picture(as_uint16(scene.raw), "linear")


def read(scene: Scene, way: Way) -> PhotoReading:
    """Measure all zones of a scene."""
    picture = picture_of(scene, way.encoding)
    frame = light_field(Picture(as_uint16(scene.flat), "linear"), picture.size) if way.flat else None
    known = lab_of(scene.tab.curve) + np.random.default_rng([scene.seed, 5]).normal(0, 0.2, 3)
    return measure(
        picture,
        _corners(scene, grey_only=way.grey_only),
        target_of(scene.world, grey_only=way.grey_only),
        [Outline(zone.kind, zone.polygon) for zone in scene.zones],
        {} if way.chart_only else priors_of(scene.world),
        illuminant="D65",
        observer=10,
        light=frame,
        tabs=[(Outline("fired tooth", scene.tab.polygon), known)] if way.tab else [],
    )


def _corners(scene: Scene, *, grey_only: bool) -> np.ndarray:
    if not grey_only:
        return scene.corners
    grid = homography([[0, 0], [6, 0], [6, 4], [0, 4]], scene.corners)
    return project(grid, [[0, 3], [6, 3], [6, 4], [0, 4]])


def judged(scene: Scene, way: Way) -> Iterator[Judged]:
    """Each zone of a scene against the truth."""
    reading = read(scene, way)
    for zone, found in zip(scene.zones, reading.zones, strict=True):
        radius = radius_of(reading, found, way.condition)
        error = float(delta_e_2000(found.lab, lab_of(zone.curve)))
        yield Judged(zone.kind, error, radius, found.mean.flagged, zone.glare)


def judged_pair(scenes: tuple[Scene, Scene], way: Way) -> Iterator[Judged]:
    """Each zone's change against the true change, in ΔE00 about the middle of the two colours."""
    readings = [read(scene, way) for scene in scenes]
    corners = [_corners(scene, grey_only=way.grey_only) for scene in scenes]
    alike = taken_alike(readings[0].patches, readings[1].patches, (corners[0], corners[1]), WIDTH)
    for one, other, found, found_other in zip(*(s.zones for s in scenes), *(r.zones for r in readings), strict=True):
        first, second = lab_of(one.curve), lab_of(other.curve)
        miss = (found_other.lab - found.lab) - (second - first)
        error = float(np.sqrt(miss @ delta_e_2000_metric((first + second) / 2) @ miss))
        flagged = found.mean.flagged or found_other.mean.flagged
        shine = found.mean.uneven, found_other.mean.uneven
        radius = change_radius(one.kind, way.condition, way.condition, alike=alike, uneven=shine)
        yield Judged(one.kind, error, radius, flagged, one.glare)


WAYS = (
    *(
        Way(encoding, flat, tab, polarised)
        for encoding in ("linear", "srgb")
        for flat in (False, True)
        for tab in (False, True)
        for polarised in (False, True)
    ),
    *(Way(e, flat, chart_only=True) for e in ("linear", "srgb") for flat in (False, True)),
    *(Way("srgb", tab=tab, grey_only=True) for tab in (False, True)),
)  # fmt: skip


def main(arguments: list[str] | None = None) -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("which", choices=SETS)
    parser.add_argument("scenes", type=int)
    parser.add_argument("--first", type=int, default=0, help="seed of the first scene")
    given = parser.parse_args(arguments)
    found: dict[str, list[Judged]] = defaultdict(list)
    for seed in range(given.first, given.first + given.scenes):
        scenes = {polarised: render(seed, given.which, polarised=polarised) for polarised in (False, True)}
        for way in WAYS:
            found[way.name] += judged(scenes[bool(way.polarised)], way)
        if seed % 2:
            continue
        both, again = pair(seed, given.which), pair(seed, given.which, alike=True)
        for way in WAYS:
            if not (way.polarised or way.grey_only or way.chart_only):
                found[f"change: {way.name}"] += judged_pair(both, way)
                found[f"one setting: {way.name}"] += judged_pair(again, way)
    print(f"{'median / P95 ΔE00, share inside':32s}", *(f"{kind:^20s}" for kind in KINDS), "flagged  glare > 0.6")
    for name, zones in found.items():
        print(
            f"{name:32s}", *(_cell([z for z in zones if z.kind == kind and not z.flagged]) for kind in KINDS), end="  "
        )
        print(f"{np.mean([z.flagged for z in zones]):6.3f}  {np.mean([z.glare > 0.6 for z in zones]):6.3f}")


def _cell(zones: list[Judged]) -> str:
    errors = np.array([zone.error for zone in zones])
    inside = np.mean([zone.error <= zone.radius for zone in zones])
    return f"{np.median(errors):.2f} / {np.quantile(errors, 0.95):.2f}  {inside:.2f} "


if __name__ == "__main__":
    main()
