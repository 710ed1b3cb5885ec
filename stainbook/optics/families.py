"""What is expected of a stain that has no chip yet: absorption and scattering by colour family.

Rough curves of the pigment kinds that ceramic stains are made of (iron, cobalt, chrome-tin, praseodymium
and tin or zircon white colours): where they absorb, and how strong one coat at full share commonly
is. From memory and common practice, not measured; the doubt that goes with them is a factor of
about two in strength and of about 1.6 in shape. Chips soon outweigh them.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from stainbook.colour import WAVELENGTHS
from stainbook.optics.two_by_two import Array

LEVEL_SD = 0.7  # of ln K and ln S: strength of one coat from maker to maker
WHITE_LEVEL_SD = 1.2  # of ln K: whites hardly absorb, and differ most in how clean they are
SHAPE_SD = 0.5  # of ln K: where a pigment absorbs, within its family
SHAPE_SD_S = 0.5  # of ln S; scattering follows grain size and changes slowly over the visible range
CORRELATION_NM = 35.0  # pigment bands are this broad
CORRELATION_NM_S = 60.0
SCATTERING_POWER = 1.0  # S falls as 1/wavelength: between large grains (0) and Rayleigh's law (4)
ROUGH_SD = 0.04  # what neighbouring bands may differ beyond that
# Liquids hold dissolved ions: those of the rare earths absorb in bands of 6 to 9 nm, with next to nothing between.
SOAKED_LEVEL_SD = 1.0  # of ln K
SOAKED_SHAPE_SD = 2.0
SOAKED_CORRELATION_NM = 12.0
DEPTH_SHAPE_SD = 0.05  # of ln depth over the spectrum: the body's scattering changes slowly

_W = np.asarray(WAVELENGTHS, dtype=float)


def _edge(at: float, width: float) -> Array:
    return np.asarray(1.0 / (1.0 + np.exp((_W - at) / width)))


def _band(at: float, width: float) -> Array:
    return np.asarray(np.exp(-0.5 * ((_W - at) / width) ** 2))


# family: (peak absorption, its shape with a floor, scattering) of one coat at full share
_FAMILIES: dict[str | None, tuple[float, Callable[[], Array], float]] = {
    "white": (0.0005, lambda: np.ones_like(_W), 1.6),
    "yellow": (0.05, lambda: _edge(485.0, 18.0) + 0.03, 0.5),
    "orange": (0.06, lambda: _edge(525.0, 22.0) + 0.05, 0.2),
    "brown": (0.08, lambda: np.exp(-(_W - 400.0) / 140.0) + 0.05, 0.14),
    "olive": (0.045, lambda: _edge(480.0, 30.0) + 0.5 * _band(650.0, 50.0) + 0.25, 0.13),
    "grey": (0.07, lambda: np.ones_like(_W), 0.12),
    "blue": (0.08, lambda: _band(600.0, 55.0) + 0.06, 0.12),
    "violet": (0.08, lambda: _band(560.0, 50.0) + 0.15, 0.16),
    "pink": (0.07, lambda: _band(525.0, 50.0) + 0.3 * _edge(440.0, 25.0) + 0.06, 0.25),
    "red": (0.09, lambda: _edge(585.0, 16.0) + 0.05, 0.13),
    None: (0.05, lambda: np.ones_like(_W), 0.2),
}
_CLEAR = (0.0015, 0.004)  # a clear glaze hardly absorbs or scatters
_CLEAR_SD = 1.0


def expected_log_curves(family: str | None, *, clear: bool = False) -> tuple[Array, Array]:
    """ln K and ln S (31,) expected of one coat at full share; an unknown family counts as any."""
    if clear:
        return np.full(_W.shape, np.log(_CLEAR[0])), np.full(_W.shape, np.log(_CLEAR[1]))
    peak, shape, scattering = _FAMILIES.get(family, _FAMILIES[None])
    curve = shape()
    return np.log(peak * curve / curve.max()), np.log(scattering) - SCATTERING_POWER * np.log(_W / 550.0)


def log_curve_covariance(family: str | None, *, clear: bool = False) -> tuple[Array, Array]:
    """Covariances (31, 31) of ln K and ln S about the expected curves."""
    if clear:
        return _smooth(_CLEAR_SD, 0.3, CORRELATION_NM), _smooth(_CLEAR_SD, 0.1, CORRELATION_NM_S)
    unknown = family not in _FAMILIES or family is None
    return (
        _smooth(WHITE_LEVEL_SD if family == "white" else LEVEL_SD, 1.2 if unknown else SHAPE_SD, CORRELATION_NM),
        _smooth(1.0 if unknown else LEVEL_SD, SHAPE_SD_S, CORRELATION_NM_S),
    )


def soaked_log_covariance() -> Array:
    """(31, 31) covariance of ln K of a liquid: loose enough for narrow bands, which no family predicts."""
    return _smooth(SOAKED_LEVEL_SD, SOAKED_SHAPE_SD, SOAKED_CORRELATION_NM)


def depth_covariance(level: float) -> Array:
    """(31, 31) covariance of the ln depth of a liquid; ``level`` is the doubt of the whole, of ln depth."""
    return _smooth(level, DEPTH_SHAPE_SD, CORRELATION_NM_S, rough=1e-3)


def _smooth(level: float, shape: float, correlation: float, *, rough: float = ROUGH_SD) -> Array:
    apart = (_W[:, None] - _W[None, :]) / correlation
    smooth = level**2 + shape**2 * np.exp(-0.5 * apart**2)
    return np.asarray(smooth + rough**2 * np.eye(len(_W)))
