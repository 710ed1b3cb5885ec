"""A fourth family of cameras, lights, gels and reflectances for photos, written before the method that it judges.

Frozen on 2026-11-27, before six channels met a wider model of gum; nothing was tuned on it. Its cameras are measured
(tests/published/cameras.csv, and the second one of colour-science), its gum and teeth come from radiative transfer in
two layers, and its gel is a dye that lets far red through again, as sheets do. Its chart's table is that of *test*.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from stainbook.colour import WAVELENGTHS
from stainbook.photo.tissue_families import OXYGENATED, PER_CM, REDUCED
from tests.colour.library import colour_science
from tests.worlds import adding_doubling as ad
from tests.worlds.photo_spectra import LIVING_RANGE, NM, Family, _wide, fired_pieces, within

Array = NDArray[np.float64]
LAB = 71  # seed of the simulated lab whose pieces these are
LIGHTS = ("LED-B3", "D60", "FL8", "ISO 7589 Sensitometric Daylight")
TABLE = Path(__file__).parents[1] / "published" / "cameras.csv"
FORWARD = 0.8  # anisotropy of scattering in soft tissue and tooth
GRID = np.asarray(WAVELENGTHS, dtype=np.float64)


def sealed_family() -> Family:
    """The sealed family."""
    rng = np.random.default_rng(90017)
    fired, known = fired_pieces(LAB)
    living = {"living tooth": _teeth(rng), "living gum": _gums(rng)}
    living = {kind: within(curves, *LIVING_RANGE[kind]) for kind, curves in living.items()}
    return Family(measured_cameras(), _lights(), _chart(), living | fired, known)


def measured_cameras() -> Array:
    """Cameras (4, 71, 3): three published, and one of colour-science's two."""
    table = np.loadtxt(TABLE, delimiter=",", comments="#", skiprows=3)
    own = [
        np.column_stack([np.interp(NM, table[:, 0], table[:, 3 * n + c + 1]) for c in range(3)])
        for n in range((table.shape[1] - 1) // 3)
    ]
    library = list(colour_science().MSDS_CAMERA_SENSITIVITIES.values())[1]
    own.append(np.column_stack([np.interp(NM, library.wavelengths, column) for column in library.values.T]))
    return np.maximum(np.array(own), 0.0)


def gel(rng: np.random.Generator) -> Array:
    """A cyan dye in a clear sheet: dense in the red, thin again beyond it, a little yellow below 430 nm."""
    density = rng.uniform(2.0, 3.5) * np.exp(-0.5 * ((NM - rng.normal(645, 6)) / rng.uniform(38, 52)) ** 2)
    yellow = rng.uniform(0.1, 0.4) / (1 + np.exp((NM - 425) / 12))
    return np.asarray(rng.uniform(0.75, 0.88) * np.exp(-density - yellow))


def _lights() -> Array:
    lamps = []
    for name in LIGHTS:
        sd = colour_science().SDS_ILLUMINANTS[name]
        values = np.interp(NM, sd.wavelengths, sd.values)
        lamps.append(values / values.mean())
    return np.array([*lamps, 0.5 * lamps[0] + 0.5 * lamps[1]])


def _chart() -> Array:
    return np.array(
        [np.interp(NM, sd.wavelengths, sd.values) for sd in colour_science().SDS_COLOURCHECKERS["cc_ohta"].values()]
    )


def _gums(rng: np.random.Generator, count: int = 1500) -> Array:
    """A horny, brownish layer over a deep one with capillaries and wider vessels in it, under saliva."""
    draw = _drawn(rng, count)
    held = draw(0.4, 0.95)
    blood = PER_CM * (held * OXYGENATED + (1 - held) * REDUCED)
    wide = draw(0.0, 0.7)
    inside = (1 - wide) * _seen_of(blood, draw(2, 5) * 1e-4) + wide * _seen_of(blood, draw(8, 30) * 1e-4)
    yellow = draw(0.0, 5.0) * np.exp(-0.5 * ((GRID - 460) / 28) ** 2)  # bilirubin and carotene
    absorbed = 10 ** draw(-1.9, -0.6) * inside * blood + yellow + draw(0.1, 0.6)
    scattered = _reduced(draw(14, 45), draw(0.0, 0.3), draw(0.4, 1.2))
    brown = 6.6e11 * GRID**-3.33 * draw(0.0, 0.01) + draw(0.3, 1.5)
    horny = _reduced(draw(25, 60), draw(0.0, 0.4), draw(0.6, 1.4))
    depth = draw(0.008, 0.04)  # cm
    return _read([(absorbed, scattered, np.full((count, 1), 0.5)), (brown, horny, depth)], 1.37)


def _teeth(rng: np.random.Generator, count: int = 700) -> Array:
    """Enamel over dentine, whose absorption is a sum of two falls."""
    draw = _drawn(rng, count)
    dentine = draw(0.2, 0.9) * np.exp(-(GRID - 400) / draw(30, 70)) * 10 + draw(0.2, 2.5) * (GRID / 500) ** -draw(1, 4)
    enamel = draw(0.05, 0.5) * (GRID / 450) ** -draw(1, 3)
    return _read(
        [
            (dentine, _reduced(draw(35, 90), 0.05, draw(0.2, 1.0)), np.full((count, 1), 0.5)),
            (enamel, _reduced(draw(6, 20), draw(0.2, 0.7), draw(0.5, 1.5)), draw(0.03, 0.12)),
        ],
        1.5,
    )


def _reduced(level: Array, small: Array | float, power: Array) -> Array:
    """Reduced scattering, 1/cm: Rayleigh's and Mie's share at 500 nm (Jacques 2013)."""
    return np.asarray(level * (small * (GRID / 500) ** -4.0 + (1 - small) * (GRID / 500) ** -power))


def _seen_of(blood: Array, radius: Array) -> Array:
    """Share of what blood would absorb that it does in cylinders of a radius in cm, by chords across them."""
    across = np.linspace(0.02, 0.98, 25)
    chords = 2 * np.sqrt(1 - across**2)
    reach = (blood * radius)[..., np.newaxis]
    taken = (1 - np.exp(-reach * chords)).mean(axis=-1)
    return np.asarray(taken / (reach[..., 0] * chords.mean()))


def _read(layers: list[tuple[Array, Array, Array]], index: float) -> Array:
    """Diffuse reflectance on ``NM`` of layers, deepest first: absorption and reduced scattering (1/cm), depth (cm).

    The mirror reflection is left out.
    """
    outside, inner = ad.nested_streams((1.0, index), (4, 3))
    below = ad.backing(np.full(np.broadcast_shapes(layers[0][0].shape, layers[0][1].shape), 0.3), inner)
    for absorbed, reduced, thick in layers:
        scattered = reduced / (1 - FORWARD)
        total = absorbed + scattered
        below = ad.cover(ad.slab(total * thick, scattered / total, FORWARD, inner), below)
    seen = ad.sphere_reading(ad.interface(outside, inner), below)
    return np.array([_wide(curve) for curve in seen])


def _drawn(rng: np.random.Generator, count: int):
    return lambda low, high: rng.uniform(low, high, (count, 1))
