"""A seventh family of cameras, lights and reflectances for photos, and three means of misleading, kept apart.

Frozen on 2026-11-28, before another prior of gum and curves of colour were tried. Gum is the diffusion of light in a
half-space (Flock, Patterson, Wilson and Wyman 1989, IEEE Trans Biomed Eng 36:1162, doi 10.1109/TBME.1989.1173624)
under a thin layer that is passed twice, with vessels of many widths; cameras are gamma curves of energy behind one
glass. It shares no form of a tissue, camera or gel with the others.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from stainbook.colour import WAVELENGTHS
from stainbook.photo.tissue_families import OXYGENATED, PER_CM, REDUCED
from tests.colour.library import colour_science
from tests.worlds.photo_misleading import BESIDE, BOTH, Misleading
from tests.worlds.photo_scenes import WIDTH, Scene
from tests.worlds.photo_spectra import LIVING_RANGE, NM, Family, fired_pieces, within

Array = NDArray[np.float64]
LAB = 163  # seed of the simulated lab whose pieces these are
LIGHTS = ("LED-RGB1", "FL3.12", "C", "FL3.9")
INNER = 2.95  # how much deeper than outside diffuse light is inside, of an index of 1.4: (1 + r) / (1 - r), r = 0.493


def apart_family() -> Family:
    """The family of a gum that diffuses light."""
    rng = np.random.default_rng(40289)
    fired, known = fired_pieces(LAB)
    living = {"living tooth": _teeth(rng), "living gum": _gums(rng)}
    living = {kind: within(curves, *LIVING_RANGE[kind]) for kind, curves in living.items()}
    return Family(np.array([_camera(rng) for _ in range(5)]), _lights(), _chart(), living | fired, known)


def _camera(rng: np.random.Generator) -> Array:
    """Channels of a gamma curve in the distance from a long wavelength, with what all see alike."""
    rows = []
    for top, span, power in ((690, 88, 4.5), (620, 84, 5.5), (520, 62, 5.0)):
        away = np.maximum(top + rng.normal(0, 6) - NM, 1e-3) / (span * rng.lognormal(0, 0.08))
        curve = (away * np.exp(1 - away)) ** (power * rng.lognormal(0, 0.15))
        rows.append(curve + rng.uniform(0.01, 0.05))
    glass = np.clip((705 + rng.normal(0, 8) - NM) / 75, 0, 1) ** 0.7 * np.clip((NM - 385) / 45, 0, 1)
    leak = np.eye(3) + rng.uniform(0, 0.12, (3, 3))
    return np.asarray((leak @ np.array(rows) * glass).T)


def _lights() -> Array:
    lamps = []
    for name in LIGHTS:
        sd = colour_science().SDS_ILLUMINANTS[name]
        values = np.interp(NM, sd.wavelengths, sd.values)
        lamps.append(values / values.mean())
    lamps[0] = 0.4 * lamps[0] + 0.6 * lamps[2]  # three bands alone light no picture
    return np.array(lamps)


def _chart() -> Array:
    """The mean of two measured copies, another pair than of *unseen*."""
    charts = colour_science().SDS_COLOURCHECKERS
    curves = [
        [np.interp(NM, sd.wavelengths, sd.values) for sd in charts[name].values()]
        for name in ("ISO 17321-1", "cc_ohta")
    ]
    return np.asarray(np.mean(curves, axis=0))


def _diffused(absorbed: Array, reduced: Array) -> Array:
    """Diffuse reflectance of a half-space by absorption and reduced scattering (1/cm), an index of 1.4."""
    albedo = reduced / (absorbed + reduced)
    root = np.sqrt(3 * (1 - albedo))
    return np.asarray(albedo / (1 + 2 * INNER * (1 - albedo) + (1 + 2 * INNER / 3) * root))


def _gums(rng: np.random.Generator) -> Array:
    """Vessels whose widths are spread about a mean, oxygen that differs between fine and wide ones, a keratin layer."""
    draw = _drawn(rng, 4000)
    middle, spread, fresh, spent = draw(np.log(6), np.log(45)), draw(0.1, 0.7), draw(0.6, 0.98), draw(0.3, 0.75)
    packed = np.zeros((4000, len(WAVELENGTHS)))
    for at, share in ((-1.2, 0.3), (0.0, 0.4), (1.2, 0.3)):
        held = fresh if at < 0 else spent if at > 0 else 0.5 * (fresh + spent)
        blood = PER_CM * (held * OXYGENATED + (1 - held) * REDUCED)
        across = np.exp(middle + at * spread) * 1e-4 * blood
        packed = packed + share * blood * (1 - np.exp(-across)) / across
    inside = np.array([np.interp(NM, WAVELENGTHS, one) for one in packed])
    water_and_rest = draw(0.1, 0.5) * (NM / 500) ** -draw(0.5, 1.5)
    reduced = draw(12, 40) * (NM / 500) ** -draw(0.7, 2.2)
    below = _diffused(10 ** draw(-2.2, -0.7) * inside + water_and_rest, reduced)
    passed = np.exp(-2 * (draw(0.0, 0.12) * (NM / 500) ** -3.33 + draw(0.0, 0.1)))
    keratin = draw(0.0, 0.08) * (NM / 500) ** -draw(0.3, 1.5)  # what the layer sends back by itself
    return draw(0.0, 0.015) + keratin + (1 - keratin) * passed * below


def _teeth(rng: np.random.Generator) -> Array:
    draw = _drawn(rng, 1500)
    absorbed = draw(0.05, 0.5) + draw(0.2, 4.0) * (NM / 420) ** -draw(3.0, 7.0)
    enamel = draw(0.05, 0.2) * (NM / 480) ** -draw(0.5, 2.0)
    return enamel + (1 - enamel) * _diffused(absorbed, draw(18, 70) * (NM / 550) ** -draw(0.2, 1.2))


def two_filters(rng: np.random.Generator) -> Array:
    """A gel whose red edge falls by the square root of a sigmoid, with a dip in the green of a sheet that aged."""
    edge, width = rng.normal(592, 7), rng.uniform(10, 20)
    fall = np.sqrt(1 / (1 + np.exp((NM - edge) / width)))
    dip = 1 - rng.uniform(0.0, 0.12) * np.exp(-0.5 * ((NM - 510) / 25) ** 2)
    return np.asarray(rng.uniform(0.03, 0.08) + rng.uniform(0.65, 0.82) * fall * dip)


def film_look(amount: tuple[float, float]) -> Callable[[NDArray[np.uint8], np.random.Generator], NDArray]:
    """A look: every channel of the finished picture has a contrast and a lifted black of its own."""

    def finish(rgb: NDArray[np.uint8], rng: np.random.Generator) -> NDArray[np.uint8]:
        power = 1 + rng.uniform(*amount) * rng.permutation([-1.0, 0.0, 1.0])
        lift = 0.3 * rng.uniform(*amount) * rng.uniform(0, 1, 3)
        return np.asarray(np.clip(np.round(255 * (lift + (1 - lift) * (rgb / 255) ** power)), 0, 255), np.uint8)

    return finish


def turned_tile(share: tuple[float, float]) -> Callable[[Scene, np.random.Generator], Scene]:
    """The tray with the pieces is tipped: less light there, and a faint sheen of the lamp on what is tipped to it."""

    def spoil(scene: Scene, rng: np.random.Generator) -> Scene:
        x = np.arange(WIDTH)[np.newaxis, :, np.newaxis]
        beyond = 1 / (1 + np.exp(-(x - BESIDE) / 2.0))
        sheen = rng.uniform(0, 0.006) * scene.response.sum(axis=0)
        return replace(scene, raw=np.clip(scene.raw * (1 - rng.uniform(*share) * beyond) + sheen * beyond, 0, 1))

    return spoil


APART = (
    Misleading("film look", finish=film_look((0.03, 0.12))),
    Misleading("film look, strong", finish=film_look((0.12, 0.25))),
    Misleading("pieces tipped, 4-12 % less light", turned_tile((0.04, 0.12)), encodings=BOTH),
)


def _drawn(rng: np.random.Generator, count: int):
    return lambda low, high: rng.uniform(low, high, (count, 1))
