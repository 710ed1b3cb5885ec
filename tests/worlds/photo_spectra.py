"""Cameras, lights and reflectances to render photos with, in families: to tune on, to test on, blind, and sealed.

Everything is made up but measured cameras and the charts of colour-science. The families share no
camera, light, chart, lab or functional form of a tissue, so a figure on one is not flattered by another. The doubt
of photos was set on the first two; the third, ``photo_blind``, was looked at after that and has been looked at since;
the fourth, ``photo_sealed``, was frozen before two shots met a wider model of gum; the fifth, ``photo_kept``, before
the radii of 2026-11-27, the sixth, ``photo_unseen``, before those of that evening, the seventh, ``photo_apart``,
before another prior of gum was tried on 2026-11-28.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from stainbook.colour import spectrum_to_lab
from tests.colour.library import colour_science
from tests.worlds.lab import World
from tests.worlds.pigments import WAVELENGTHS as LAB_NM
from tests.worlds.samples import chips, trials

Array = NDArray[np.float64]
NM = np.arange(380.0, 731.0, 5.0)  # nm, what scenes are rendered with
KINDS = ("living tooth", "living gum", "fired tooth", "fired gum")
# L*, a*, b* about two standard deviations either side of the published means (tests/published/photo_sources.md)
LIVING_RANGE = {"living tooth": ((60, -3, 6), (88, 5, 30)), "living gum": ((37, 13, 8), (63, 33, 22))}
FIRED_RANGE = {"fired tooth": ((50, -4, 2), (88, 9, 32)), "fired gum": ((40, 6, -4), (75, 32, 20))}
SETS = ("tune", "test", "blind", "sealed", "kept", "unseen", "apart")


@dataclass(frozen=True)
class Family:
    """What a set of scenes is drawn from: cameras (n, 71, 3), lights (n, 71), a chart (24, 71), pieces by kind."""

    cameras: Array
    lights: Array
    chart: Array
    pieces: dict[str, Array]
    lab_spectra: dict[str, Array]  # of the lab that fired the pieces: chips and bodies, on 400-700/10


@lru_cache(maxsize=7)
def family(which: str) -> Family:
    """One of the families of ``SETS``.

    Raises
    ------
    ValueError : for another name
    """
    if which not in SETS:
        raise ValueError(f"found {which!r}, expected one of {SETS}")
    if which == "blind":
        from tests.worlds.photo_blind import blind_family

        return blind_family()
    if which == "sealed":
        from tests.worlds.photo_sealed import sealed_family

        return sealed_family()
    if which == "kept":
        from tests.worlds.photo_kept import kept_family

        return kept_family()
    if which == "unseen":
        from tests.worlds.photo_unseen import unseen_family

        return unseen_family()
    if which == "apart":
        from tests.worlds.photo_apart import apart_family

        return apart_family()
    test = which == "test"
    rng = np.random.default_rng(29 if test else 11)
    fired, known = fired_pieces(17 if test else 5)
    living = {"living tooth": _teeth(test, rng), "living gum": _gums(test, rng)}
    living = {kind: within(curves, *LIVING_RANGE[kind]) for kind, curves in living.items()}
    return Family(_cameras(test, rng), _lights(test), _chart(test), living | fired, known)


def lab_of(curves: Array, *, illuminant: str = "D65", observer: int = 10) -> Array:
    """L*, a*, b* of curves on ``NM``."""
    return spectrum_to_lab(curves, NM, illuminant=illuminant, observer=observer)


# ---------------------------------------------------------------- cameras and lights


def _cameras(test: bool, rng: np.random.Generator) -> Array:
    if not test:
        return np.array([_bell_camera(rng) for _ in range(4)])
    measured = next(iter(colour_science().MSDS_CAMERA_SENSITIVITIES.values()))
    points = np.column_stack([np.interp(NM, measured.wavelengths, column) for column in measured.values.T])
    return np.array([points, *(_skewed_camera(rng) for _ in range(3))])


def _bell_camera(rng: np.random.Generator) -> Array:
    """Gaussian bells with a small second lobe."""
    rows = []
    for centre, width, leak in ((605, 34, 440), (535, 40, 610), (462, 30, 540)):
        bell = np.exp(-0.5 * ((NM - centre - rng.normal(0, 6)) / (width * rng.lognormal(0, 0.1))) ** 2)
        rows.append(bell + rng.uniform(0.02, 0.1) * np.exp(-0.5 * ((NM - leak) / 35) ** 2))
    return np.array(rows).T


def _skewed_camera(rng: np.random.Generator) -> Array:
    """Steep on one side and slow on the other, behind an infrared cut at about 660 nm."""
    cut = 1 / (1 + np.exp((NM - rng.normal(662, 6)) / 8)) / (1 + np.exp(-(NM - rng.normal(408, 4)) / 5))
    rows = []
    for centre, rise, fall in ((582, 7, 32), (532, 16, 20), (452, 14, 18)):
        edge, slope_up, slope_down = (
            centre + rng.normal(0, 5),
            rise * rng.lognormal(0, 0.12),
            fall * rng.lognormal(0, 0.12),
        )
        side = 1 / (1 + np.exp(-(NM - edge + 2 * slope_up) / slope_up)) / (1 + np.exp((NM - edge - fall) / slope_down))
        leak = rng.uniform(0.01, 0.05) / (1 + ((NM - rng.choice([440, 480, 560, 640])) / 30) ** 2)
        rows.append((side + leak) * cut)
    return np.array(rows).T


def _lights(test: bool) -> Array:
    named = ("D50", "FL7", "LED-B5", "ISO 7589 Studio Tungsten") if test else ("D65", "LED-B4", "D55", "B")
    lamps = []
    for name in named:
        sd = colour_science().SDS_ILLUMINANTS[name]
        values = np.interp(NM, sd.wavelengths, sd.values)
        lamps.append(values / values.mean())
    if test:  # a ring flash, and daylight through a window mixed with a white lamp
        flash = (
            1 / (1 + np.exp(-(NM - 402) / 8)) * (1 + 0.25 * np.exp(-0.5 * ((NM - 470) / 9) ** 2) - 0.0008 * (NM - 550))
        )
        lamps[3] = 0.6 * lamps[0] + 0.4 * lamps[2]
        lamps.append(flash / flash.mean())
    return np.array(lamps)


def _chart(test: bool) -> Array:
    """The 24 patches, row by row, of one of two measured copies."""
    charts = list(colour_science().SDS_COLOURCHECKERS.values())
    chosen = charts[0] if not test else charts[1]
    return np.array([np.interp(NM, sd.wavelengths, sd.values) for sd in chosen.values()])


# ---------------------------------------------------------------- living tissue


def _teeth(test: bool, rng: np.random.Generator) -> Array:
    n = 900
    draw = lambda low, high: rng.uniform(low, high, (n, 1))  # noqa: E731
    if not test:  # a floor, one broad rise, a tilt
        rise = draw(0.15, 0.55) / (1 + np.exp(-(NM - draw(440, 500)) / draw(25, 65)))
        return draw(0.12, 0.40) + rise + draw(-2e-4, 3e-4) * (NM - 550)
    # scattering against absorption that falls off exponentially, as in dentine, with a faint band
    absorbed = draw(0.01, 0.05) + draw(0.1, 0.9) * np.exp(-(NM - 380) / draw(40, 80))
    absorbed = absorbed + draw(0.0, 0.02) * np.exp(-(((NM - draw(520, 580)) / 40) ** 2))
    ratio = absorbed / (draw(0.5, 1.2) * (NM / 550) ** draw(-1.2, 0.2))
    infinite = 1 + ratio - np.sqrt(ratio**2 + 2 * ratio)
    return draw(0.75, 0.98) * infinite


def _gums(test: bool, rng: np.random.Generator) -> Array:
    n = 2500
    draw = lambda low, high: rng.uniform(low, high, (n, 1))  # noqa: E731
    bell = lambda centre, width: np.exp(-(((NM - centre) / width) ** 2))  # noqa: E731
    if not test:  # a floor, two rises, bands of blood taken off
        rises = draw(0.06, 0.22) + draw(0.0, 0.12) / (1 + np.exp(-(NM - 440) / draw(20, 45)))
        rises = rises + draw(0.12, 0.42) / (1 + np.exp(-(NM - draw(585, 610)) / draw(10, 18)))
        bands = bell(542, 14) + draw(0.8, 1.2) * bell(577, 10) + bell(415, 22)
        return np.maximum(rises - draw(0.5, 1.2) * 0.06 * bands, 0.01)
    # attenuation through blood of two states of oxygen and a brown ground, in a diffusing medium
    oxygen = draw(0.5, 0.95)
    lorentz = lambda centre, width: 1 / (1 + ((NM - centre) / width) ** 2)  # noqa: E731
    bright = 0.75 * bell(541, 15) + 0.9 * bell(577, 11) + 6 * bell(415, 18) + 3 * lorentz(415, 32) + 0.012
    dull = 0.9 * bell(556, 25) + 5 * bell(432, 18) + 1.2 * lorentz(432, 25) + 0.5 * bell(515, 35) + 0.06
    blood = draw(0.3, 5.0) * (oxygen * bright + (1 - oxygen) * dull) * (1 / (1 + np.exp((NM - 596) / 9)) + 0.01)
    blood = blood / (1 + draw(0.0, 0.5) * blood)  # vessels hide part of what they hold
    brown = draw(0.02, 0.3) * (NM / 500) ** -3.0
    scattered = draw(2.0, 6.0) * (NM / 550) ** draw(-2.2, -0.6)
    return draw(0.0, 0.06) + draw(0.5, 0.95) * np.exp(-draw(2.0, 4.0) * np.sqrt((blood + brown) / scattered))


def within(curves: Array, low: tuple[float, ...], high: tuple[float, ...]) -> Array:
    """The curves whose L*, a*, b* lie in a range."""
    lab = lab_of(curves)
    return curves[np.all((lab > low) & (lab < high), axis=1)]


# ---------------------------------------------------------------- fired pieces


def fired_pieces(seed: int) -> tuple[dict[str, Array], dict[str, Array]]:
    """Pieces of a simulated lab as they leave the furnace, and what that lab has read of chips and bodies."""
    world = World(seed)
    made = trials(world, 240)
    curves = {
        kind: np.array([_wide(one.ideal) for one in made if one.tissue == tissue])
        for kind, tissue in (("fired tooth", "tooth"), ("fired gum", "gingiva"))
    }
    pieces = {kind: within(found, *FIRED_RANGE[kind]) for kind, found in curves.items()}
    series = np.array([reading.reflectance for reading in chips(world).readings])
    bodies = {
        tissue: np.array([world.read(one) for one in world.bodies(12, tissue)]) for tissue in ("tooth", "gingiva")
    }
    known = {"fired tooth": np.vstack([series, bodies["tooth"]]), "fired gum": np.vstack([series, bodies["gingiva"]])}
    return pieces, known


def _wide(curve: Array) -> Array:
    """A curve of 400-700/10 on ``NM``, its ends drawn on straight."""
    inner = np.interp(NM, LAB_NM, curve)
    low, high = (curve[1] - curve[0]) / 10, (curve[-1] - curve[-2]) / 10
    inner = np.where(NM < 400, curve[0] + low * (NM - 400), inner)
    return np.clip(np.where(NM > 700, curve[-1] + high * (NM - 700), inner), 0.005, 1.0)
