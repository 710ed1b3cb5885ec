"""Made-up pigments: absorption and scattering per millimetre of full-strength stain, by colour family.

Absorption is a sum of bands and edges with random places and widths, scattering a power law of the
wavelength. Nothing here is measured.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
WAVELENGTHS = np.arange(400.0, 701.0, 10.0)  # nm


@dataclass(frozen=True)
class Recipe:
    """How a family absorbs: parts of (shape, centre nm, width nm, height), and its place between its fellows."""

    parts: tuple[tuple[str, float, float, float], ...]
    absorption: float  # per mm at height 1
    scattering: float  # per mm at 550 nm
    slope: float  # scattering falls as wavelength ** -slope


FAMILIES: dict[str, Recipe] = {
    "white": Recipe((("edge", 415, 12, 0.3),), 0.15, 60.0, 0.7),
    "yellow": Recipe((("edge", 478, 16, 1.0), ("flat", 0, 1, 0.012)), 3.0, 9.0, 0.7),
    "orange": Recipe((("edge", 535, 21, 1.0), ("flat", 0, 1, 0.03)), 4.0, 7.0, 0.5),
    "brown": Recipe((("edge", 560, 62, 1.0), ("flat", 0, 1, 0.22)), 3.4, 5.5, 0.4),
    "olive": Recipe((("edge", 470, 32, 1.0), ("band", 655, 52, 0.75), ("flat", 0, 1, 0.08)), 2.6, 5.5, 0.5),
    "grey": Recipe((("flat", 0, 1, 1.0), ("band", 600, 110, 0.12)), 2.3, 5.0, 0.4),
    "blue": Recipe((("band", 606, 52, 1.0), ("band", 520, 60, 0.25), ("flat", 0, 1, 0.05)), 4.6, 5.0, 0.8),
    "violet": Recipe((("band", 566, 44, 1.0), ("flat", 0, 1, 0.07)), 4.4, 4.5, 0.7),
    "pink": Recipe((("band", 524, 36, 1.0), ("edge", 462, 28, 0.45), ("flat", 0, 1, 0.02)), 3.9, 8.0, 0.8),
    "red": Recipe((("band", 528, 44, 1.0), ("edge", 470, 45, 0.8), ("flat", 0, 1, 0.09)), 4.4, 4.5, 0.3),
}


def absorption(family: str, rng: np.random.Generator) -> Array:
    """Absorption per mm at the 31 wavelengths of one made-up pigment of the family."""
    recipe = FAMILIES[family]
    spectrum = np.zeros_like(WAVELENGTHS)
    for number, (shape, centre, width, height) in enumerate(recipe.parts):
        place = centre + rng.normal(0, 6)
        spread = width * rng.lognormal(0, 0.08)
        spectrum += height * rng.lognormal(0, 0.5 if number else 0.1) * _part(shape, place, spread)
    return recipe.absorption * rng.lognormal(0, 0.22) * spectrum


def scattering(family: str, rng: np.random.Generator) -> Array:
    """Scattering per mm at the 31 wavelengths of one made-up pigment of the family."""
    recipe = FAMILIES[family]
    slope = recipe.slope * rng.uniform(0.7, 1.3)
    return np.asarray(recipe.scattering * rng.lognormal(0, 0.25) * (WAVELENGTHS / 550.0) ** -slope)


def _part(shape: str, centre: float, width: float) -> Array:
    if shape == "edge":
        return np.asarray(1 / (1 + np.exp((WAVELENGTHS - centre) / width)))
    if shape == "band":
        return np.asarray(np.exp(-0.5 * ((WAVELENGTHS - centre) / width) ** 2))
    return np.ones_like(WAVELENGTHS)
