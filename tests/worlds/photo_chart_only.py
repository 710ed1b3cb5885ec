"""Photos read by their chart alone, as any script with a colour chart does it, beside stainbook.

Both see the same pixels: the patches' means, and those of a zone's pixels that are left without highlights.
"""

from __future__ import annotations

import numpy as np

from stainbook.colour import WAVELENGTHS, delta_e_2000, tristimulus_weights, xyz_to_lab
from stainbook.errors import InputError
from stainbook.photo.measure import Outline, measure, radius_of
from stainbook.photo.tissue_families import gum_models
from tests.worlds.photo_accuracy import Way, picture_of, priors_of, target_of
from tests.worlds.photo_scenes import Scene, render
from tests.worlds.photo_spectra import lab_of
from tests.worlds.pigments import Array

LIGHT = {"illuminant": "D65", "observer": 10}
XYZ = tristimulus_weights(WAVELENGTHS, **LIGHT)
WHITE = XYZ.sum(axis=0)
INSIDE = 0.95  # of zones, as stainbook states a photo's radius


def linear(rgb: Array) -> Array:
    """Three channels as they are."""
    return rgb


def root_polynomial(rgb: Array) -> Array:
    """Six terms that keep to a change of exposure (Finlayson, Mackiewicz and Hurlbert 2015)."""
    r, g, b = np.maximum(rgb, 1e-6).T
    return np.stack([r, g, b, np.sqrt(r * g), np.sqrt(g * b), np.sqrt(r * b)], axis=1)


CHART_ONLY = {"3x3 of the chart": linear, "root polynomial of the chart": root_polynomial}
PHOTO_WAYS = ("stainbook", *CHART_ONLY)


def by_chart(terms, patches: Array, chart: Array, zones: Array) -> tuple[Array, float]:
    """L*, a*, b* (n, 3) of zones by a least-squares fit to the patches, and the radius that left-out patches tell."""
    known = terms(patches)
    matrix = np.linalg.lstsq(known, chart, rcond=None)[0]
    miss = [
        delta_e_2000(_lab(known[i] @ np.linalg.lstsq(known[rest], chart[rest], rcond=None)[0]), _lab(chart[i]))
        for i in range(len(known))
        if (rest := np.arange(len(known)) != i).any()
    ]
    return _lab(terms(zones) @ matrix), float(np.quantile(miss, INSIDE))


def _lab(xyz: Array) -> Array:
    return np.asarray(xyz_to_lab(np.maximum(xyz, 1e-3), WHITE))


def judged(which: str, seed: int, encoding: str) -> dict[tuple[str, str], list[tuple[float, bool, float]]] | None:
    """By kind of zone and way: ΔE00 to the truth, inside the stated radius, the radius; None where it is refused."""
    scene = render(seed, which)
    try:
        reading = _read(scene, encoding)
    except InputError:
        return None
    target, used = target_of(scene.world), reading.patches.used
    chart = target.reflectance[used] @ XYZ
    kept = [i for i, zone in enumerate(reading.zones) if not zone.mean.flagged]
    truth = np.array([lab_of(scene.zones[i].curve) for i in kept])
    rgb = np.array([reading.zones[i].mean.rgb for i in kept])
    condition = Way(encoding).condition
    told = {"stainbook": (np.array([reading.zones[i].lab for i in kept]),
                          [radius_of(reading, reading.zones[i], condition) for i in kept])}  # fmt: skip
    for name, terms in CHART_ONLY.items():
        colours, radius = by_chart(terms, reading.patches.rgb[used], chart, rgb)
        told[name] = colours, [radius] * len(kept)
    found: dict[tuple[str, str], list[tuple[float, bool, float]]] = {}
    for way, (colours, radii) in told.items():
        for i, far, radius in zip(kept, delta_e_2000(colours, truth), radii, strict=True):
            found.setdefault((scene.zones[i].kind, way), []).append((float(far), bool(far <= radius), radius))
    return found


def _read(scene: Scene, encoding: str):
    outlines = [Outline(zone.kind, zone.polygon) for zone in scene.zones]
    gums = {"living gum": gum_models()}
    return measure(
        picture_of(scene, encoding), scene.corners, target_of(scene.world), outlines, priors_of(scene.world),
        tissues=gums, **LIGHT,
    )  # fmt: skip
