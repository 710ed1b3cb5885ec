"""What living teeth and gum may reflect: curves from how they scatter and absorb, within published colours.

Gum is blood in two states of oxygen and a brown ground in a scattering medium; teeth scatter against an absorption that
falls from blue to red. Laid out on a fixed lattice, so the same everywhere. Models, not measured spectra.

References
----------
Blood: molar extinction of haemoglobin in water, compiled by Scott Prahl from data of W. B. Gratzer (Medical Research
Council, London) and N. Kollias (Wellman Laboratories, Boston), every tenth nm; the table as the package cedalion has it
(MIT licence, its authors), in tests/published/blood_extinction.csv. Colours that are let in: the ranges of
tests/published/photo_sources.md.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from stainbook.colour import WAVELENGTHS, spectrum_to_lab
from stainbook.errors import UnknownNameError
from stainbook.language import say

Floats = NDArray[np.float64]

SIZE = 160  # curves of a family
LATTICE, WIDE_LATTICE = 3000, 12000  # points, of which those are kept that have a colour that is let in
# 1/cm per mol/l, 400-700 nm by 10; Prahl's compilation
OXYGENATED = np.array([
    266232, 466840, 480360, 246072, 102580, 62816, 44480, 33209.2, 26629.2, 23684.4, 20932.8, 20035.2, 24202.4,
    39956.8, 53236, 43016, 32613.2, 44496, 50104, 14400.8, 3200, 1506, 942, 610, 442, 368, 319.6, 294, 277.6, 276,
    290,
], dtype=np.float64)  # fmt: skip
REDUCED = np.array([
    223296, 303956, 407560, 528600, 413280, 103292, 23388.8, 16156.4, 14550, 16684, 20862, 25773.6, 31589.6, 39036.4,
    46592, 53412, 53788, 45072, 37020, 28324.4, 14677.2, 9443.6, 6509.6, 5148.8, 4345.2, 3750.12, 3226.56, 2795.12,
    2407.92, 2051.96, 1794.28,
], dtype=np.float64)  # fmt: skip
PER_CM = np.log(10) * 150.0 / 64500.0  # of blood with 150 g of haemoglobin a litre, 64,500 g a mole
# L*, a*, b* (D65, 10 degrees) let in: published ranges, widened by what instruments and observers differ by
RANGES = {"tooth": ((55, -4, 2), (92, 8, 34)), "gingiva": ((26, 9, 5), (70, 38, 27))}
WIDE_RANGE = ((28, 9, 3), (70, 36, 26))  # of the wider model of gum, which reaches a little further


@lru_cache(maxsize=2)
def living_family(tissue: str) -> Floats:
    """Give reflectances (SIZE, 31) on 400-700 nm by 10 of living teeth or gum, by the models of this module.

    Raises
    ------
    UnknownNameError : for a tissue other than ``tooth`` and ``gingiva``

    >>> living_family("tooth").shape
    (160, 31)
    """
    if tissue not in RANGES:
        raise UnknownNameError(say("tissue"), tissue, RANGES)
    curves = np.vstack([_gums(), _banded_gums()]) if tissue == "gingiva" else _teeth()
    lab = spectrum_to_lab(curves, WAVELENGTHS, illuminant="D65", observer=10)
    low, high = RANGES[tissue]
    within = np.all((lab > low) & (lab < high), axis=1)
    chosen = curves[within][_spread_out(lab[within])]
    chosen.setflags(write=False)
    return chosen


def gum_models(own: Floats | None = None) -> tuple[Floats, ...]:
    """Give reflectances (m, 31) of living gum by each model of it; ``own`` are spectra that the lab has measured.

    >>> [len(one) > 100 for one in gum_models()]
    [True, True]
    """
    return (*(() if own is None else (own,)), living_family("gingiva"), wide_gums())


@lru_cache(maxsize=1)
def wide_gums() -> Floats:
    """Reflectances (m, 31) on 400-700 nm by 10 of living gum by another, wider model than `living_family`.

    Blood in vessels of 0.5 to 60 um that hide part of it, melanin, bilirubin, carotene, scattering by small and large
    particles, a face that reflects outwards and back inwards (Jacques 2013, Phys Med Biol 58:R37, doi
    10.1088/0031-9155/58/11/R37).
    """
    share, oxygen, radius, brown, scatter, small, large, yellow, back, gap = _lattice(
        (-2.9, -0.7), (0.3, 0.98), (-0.5, 1.15), (0.0, 1.2), (2.3, 4.0), (0.0, 0.7), (0.4, 2.0), (0.0, 4.0), (0.0, 0.5),
        (0.0, 0.03), points=WIDE_LATTICE,
    )  # fmt: skip
    blood = PER_CM * (oxygen * OXYGENATED + (1 - oxygen) * REDUCED)
    across = 2 * 2e-4 * 20**radius * blood  # of a vessel, its radius in cm
    absorbed = 10**share * blood * (1 - np.exp(-across)) / across
    absorbed = absorbed + 4.0 * brown * (WAVELENGTHS / 500) ** -3.33 + 0.2
    absorbed = absorbed + yellow * np.exp(-0.5 * ((WAVELENGTHS - 460) / 28) ** 2)
    rayleigh, mie = (WAVELENGTHS / 500) ** -4.0, (WAVELENGTHS / 500) ** -large
    scattered = np.exp(scatter) * (small * rayleigh + (1 - small) * mie)
    inner = _thick(8 / 3 * absorbed / scattered)
    curves = gap + (1 - back) * inner / (1 - back * inner)
    lab = spectrum_to_lab(curves, WAVELENGTHS, illuminant="D65", observer=10)
    low, high = WIDE_RANGE
    chosen: Floats = curves[np.all((lab > low) & (lab < high), axis=1)]
    chosen.setflags(write=False)
    return chosen


def _spread_out(points: Floats) -> list[int]:
    """Places of SIZE points (n, 3), each as far as can be from those before it."""
    chosen = [0]
    away = np.linalg.norm(points - points[0], axis=1)
    while len(chosen) < SIZE:
        chosen.append(int(away.argmax()))
        away = np.minimum(away, np.linalg.norm(points - points[chosen[-1]], axis=1))
    return chosen


def _gums() -> Floats:
    blood, oxygen, dilution, brown, slope, level, surface = _lattice(
        (0.7, 2.2), (0.5, 0.95), (0.2, 1.0), (0.0, 1.6), (0.0, 2.0), (0.4, 1.0), (0.0, 0.06)
    )
    pure = (oxygen * OXYGENATED + (1 - oxygen) * REDUCED) / 50000.0
    packed = (1 - np.exp(-dilution * pure)) / np.maximum(dilution, 1e-3)  # blood in vessels hides part of itself
    absorbed = 10**blood * packed * 0.2 + brown * (WAVELENGTHS / 500) ** -3.3 + 0.01
    return surface + (level - surface) * _thick(absorbed / (4.0 * (WAVELENGTHS / 550) ** -slope))


def _banded_gums() -> Floats:
    """The same by plain shapes, the bands less deep: how deep they stand in living gum is not well known."""
    floor, blue, red, at, width, depth = _lattice(
        (0.05, 0.25), (0.0, 0.14), (0.1, 0.45), (585, 610), (8, 20), (0.02, 0.07)
    )
    rises = floor + blue / (1 + np.exp(-(WAVELENGTHS - 440) / 30)) + red / (1 + np.exp(-(WAVELENGTHS - at) / width))
    bands = _bell(542, 15) + _bell(577, 11) + _bell(415, 24)
    return np.asarray(np.maximum(rises - depth * bands, 0.01))


def _bell(centre: float, width: float) -> Floats:
    return np.asarray(np.exp(-(((WAVELENGTHS - centre) / width) ** 2)))


def _teeth() -> Floats:
    level, yellow, fall, slope, band, deep = _lattice(
        (-2.3, -1.0), (-1.5, 0.3), (35, 110), (-0.6, 1.4), (0.0, 0.02), (0.6, 1.0)
    )
    absorbed = 10**level + 10**yellow * np.exp(-(WAVELENGTHS - 400) / fall)
    absorbed = absorbed + band * np.exp(-(((WAVELENGTHS - 560) / 50) ** 2))
    return deep * _thick(absorbed / (WAVELENGTHS / 550) ** -slope)


def _thick(ratio: Floats) -> Floats:
    """Reflectance of an infinitely thick layer by its absorption over scattering (Kubelka and Munk)."""
    return np.asarray(1 + ratio - np.sqrt(ratio**2 + 2 * ratio))


def _lattice(*ranges: tuple[float, float], points: int = LATTICE) -> list[Floats]:
    """Evenly spread parameters, one (points, 1) column a range: fractional parts of multiples of roots of primes."""
    primes = np.array([2, 3, 5, 7, 11, 13, 17, 19, 23, 29], dtype=np.float64)
    places = np.arange(1.0, points + 1.0)[:, np.newaxis]
    return [low + (high - low) * (places * np.sqrt(p) % 1.0) for (low, high), p in zip(ranges, primes, strict=False)]
