"""Made-up ceramic bodies: tooth-coloured and gum-coloured blanks and the two plates that chips are fired on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.worlds import adding_doubling as ad
from tests.worlds.pigments import WAVELENGTHS, Array


@dataclass(frozen=True)
class Blank:
    """A sintered body: scattering and absorption per mm, thickness in mm, and how pale its backing is.

    ``soaked`` is absorption per mm that a liquid has brought into the upper ``soaked_depth`` mm before sintering.
    """

    name: str
    tissue: str
    scattering: Array
    absorption: Array
    thickness: float
    backing: float
    anisotropy: float = 0.4
    soaked: Array | None = None
    soaked_depth: float = 0.5

    def reflection(self, streams: ad.Streams) -> Array:
        """Reflection operator (31, N, N) of the body over its backing, seen from inside its own medium."""
        below = ad.backing(np.full(len(WAVELENGTHS), self.backing), streams)
        if self.soaked is None:
            return ad.cover(self._part(self.absorption, self.thickness, streams), below)
        core = ad.cover(self._part(self.absorption, self.thickness - self.soaked_depth, streams), below)
        return ad.cover(self._part(self.absorption + self.soaked, self.soaked_depth, streams), core)

    def _part(self, absorption: Array, thickness: float, streams: ad.Streams) -> ad.Slab:
        extinction = self.scattering + absorption
        return ad.slab(extinction * thickness, self.scattering / extinction, self.anisotropy, streams)


def plate(name: str) -> Blank:
    """The pale or the dark plate: nearly neutral, thick."""
    dark = name == "plate-dark"
    slope = (WAVELENGTHS - 550) / 150
    absorption = 0.17 * (1 - 0.10 * slope) if dark else 0.006 * (1 + 0.10 * slope)
    return Blank(name, "tooth", 14.0 * (WAVELENGTHS / 550) ** -0.2, absorption, 2.5, 0.6)


def tooth(name: str, rng: np.random.Generator) -> Blank:
    """A tooth-coloured blank: warm, paler or darker."""
    edge = 1 / (1 + np.exp((WAVELENGTHS - rng.uniform(450, 475)) / rng.uniform(28, 45)))
    warm = 1 / (1 + np.exp((WAVELENGTHS - 570) / 25))
    absorption = 10 ** rng.uniform(-2.1, -1.45) * (1 + rng.uniform(4.0, 9.0) * edge + rng.uniform(0.4, 1.0) * warm)
    return _blank(name, "tooth", absorption, rng)


def gum(name: str, rng: np.random.Generator) -> Blank:
    """A gum-coloured blank: pink, with a broad absorption in the green and one in the blue."""
    green = np.exp(-0.5 * ((WAVELENGTHS - rng.uniform(530, 542)) / rng.uniform(38, 46)) ** 2)
    blue = 1 / (1 + np.exp((WAVELENGTHS - rng.uniform(470, 490)) / rng.uniform(22, 30)))
    absorption = 10 ** rng.uniform(-1.75, -1.45) * (1 + rng.uniform(6.0, 9.0) * green + rng.uniform(9.0, 13.0) * blue)
    return _blank(name, "gingiva", absorption, rng)


def _blank(name: str, tissue: str, absorption: Array, rng: np.random.Generator) -> Blank:
    scattering = rng.uniform(7.0, 12.0) * (WAVELENGTHS / 550) ** -rng.uniform(0.1, 0.5)
    return Blank(name, tissue, scattering, absorption, rng.uniform(1.2, 2.0), rng.uniform(0.4, 0.7))
