"""What the lab's fired chips have taught about each stain, as numbers that predictions work from."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from stainbook.colour import WAVELENGTHS
from stainbook.optics.ceramic import Ceramic
from stainbook.optics.families import depth_covariance, expected_log_curves, log_curve_covariance, soaked_log_covariance
from stainbook.optics.two_by_two import Array

BANDS = len(WAVELENGTHS)
LN_K = slice(0, BANDS)
LN_S = slice(BANDS, 2 * BANDS)
EXPONENT = 2 * BANDS
FADE = 2 * BANDS + 1
SIZE = 2 * BANDS + 2

# Before any chip: strength acts with share^0.93 and an extra firing takes 2 % of the colour, give or take.
# Found on both practice labs (simulated); pooled values of the lab's own chips take their place.
EXPONENT_PRIOR = (0.93, 0.06)
FADE_PRIOR = (-0.02, 0.03)
EXPONENT_SD = 0.03  # of one stain about the lab's pooled exponent
FADE_SD = 0.02
# Liquids: passes act with (share x passes)^0.9, since pores fill up, and colour the body to an optical depth S x d
# of 4, give or take a factor of 1.8. A prior alone: chips of a lab in simulated green zirconia show 0.9 and 5.6.
SOAKED_EXPONENT_PRIOR = (0.9, 0.12)
SOAKED_DEPTH_PRIOR = (1.4, 0.6)  # ln
SOAKED_EXPONENT_SD = 0.04  # of one liquid about the lab's
SOAKED_DEPTH_SD = 0.15  # of ln depth likewise
HAND_SD = 0.12  # of ln amount, one coat; simulated practice labs and common experience with brushed coats


@dataclass(frozen=True, slots=True, eq=False)
class StainCurve:
    """One stain: ln K (31), ln S (31) of a coat at full share, share exponent, ln fade per extra firing.

    ``mean`` (64,) and ``factor`` (64, r), whose product with its transpose is the covariance.
    For an infiltrating stain K is the growth of the body's absorption over scattering that one pass
    makes, and S the depth to which it goes: the body's scattering times the thickness that is coloured. ``shared``
    (64, s), where outcomes were learnt from: doubt that the curve has in common with hands, jars and other curves, by
    the same s numbers for all of them. ``darkest`` is the mean reflectance of the darkest plate that the stain was seen
    on, 0 where that is not known.
    """

    name: str
    kind: str
    family: str | None
    mean: Array
    factor: Array
    chips: int = 0
    shared: Array | None = None
    darkest: float = 0.0

    @property
    def K(self) -> Array:
        """(31,) absorption of one coat at full share."""
        return np.asarray(np.exp(self.mean[LN_K]))

    @property
    def S(self) -> Array:
        """(31,) scattering of one coat at full share; of a liquid the depth to which it goes."""
        return np.asarray(np.exp(self.mean[LN_S]))

    @property
    def exponent(self) -> float:
        """Power of the share that the strength follows."""
        return float(self.mean[EXPONENT])

    @property
    def fade(self) -> float:
        """Factor on the colour at each firing after the first."""
        return float(np.exp(self.mean[FADE]))


@dataclass(frozen=True, slots=True)
class Pooled:
    """What all stains of the lab share: exponent, fade and the hand's scatter of one coat (of ln amount).

    ``soaked_exponent`` and ``soaked_depth`` (ln) are those of its liquids. Each is a mean and its doubt.
    """

    exponent: tuple[float, float] = EXPONENT_PRIOR
    fade: tuple[float, float] = FADE_PRIOR
    hand: float = HAND_SD
    soaked_exponent: tuple[float, float] = SOAKED_EXPONENT_PRIOR
    soaked_depth: tuple[float, float] = SOAKED_DEPTH_PRIOR


@dataclass(frozen=True, slots=True)
class Unstated:
    """What readings and optics miss by beyond what is stated of them, as the chips show it; 0 where all is as stated.

    Standard deviations of ln reflectance of one reading, ``band`` of each band on its own and ``level`` of all
    together, and ``share`` of the change that layers make.
    """

    band: float = 0.0
    level: float = 0.0
    share: float = 0.0

    def reading(self) -> Array:
        """(31, 31) of ln reflectance: what one reading has more than it states."""
        return np.asarray(self.band**2 * np.eye(BANDS) + self.level**2)

    @property
    def noisy(self) -> bool:
        """True where a reading has more than it states."""
        return self.band > 0.0 or self.level > 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Optics:
    """All that was learnt: stains by name, ceramics by material, and the pooled values."""

    stains: dict[str, StainCurve]
    ceramics: dict[str, Ceramic] = field(default_factory=dict)
    pooled: Pooled = field(default_factory=Pooled)
    operator: str | None = None  # whose hand made the chips
    unstated: Unstated = field(default_factory=Unstated)

    def ceramic(self, material: str | None) -> Ceramic:
        """The face of a material: as its clear-glaze stripes fixed it, else as handbooks have it."""
        known = self.ceramics.get(material or "")
        if known is None and material is None and len(self.ceramics) == 1:
            known = next(iter(self.ceramics.values()))
        return known or Ceramic.of(material)


def prior_of(name: str, kind: str, family: str | None, pooled: Pooled) -> tuple[Array, Array]:
    """Mean (64,) and covariance (64, 64) of a stain before any stripe of it; see `StainCurve` for the numbers."""
    clear, soaks = kind == "clear", kind == "infiltrating"
    exponent = pooled.soaked_exponent if soaks else pooled.exponent
    between = SOAKED_EXPONENT_SD if soaks else EXPONENT_SD
    mean = np.concatenate([*expected_log_curves(family, clear=clear), [exponent[0], pooled.fade[0]]])
    covariance = np.zeros((SIZE, SIZE))
    covariance[LN_K, LN_K], covariance[LN_S, LN_S] = log_curve_covariance(family, clear=clear)
    if soaks:
        mean[LN_S] = pooled.soaked_depth[0]
        covariance[LN_K, LN_K] = soaked_log_covariance()
        covariance[LN_S, LN_S] = depth_covariance(float(np.hypot(pooled.soaked_depth[1], SOAKED_DEPTH_SD)))
    covariance[EXPONENT, EXPONENT] = exponent[1] ** 2 + between**2
    covariance[FADE, FADE] = pooled.fade[1] ** 2 + FADE_SD**2
    return mean, covariance


def expected_curve(name: str, kind: str, family: str | None, pooled: Pooled | None = None) -> StainCurve:
    """The curve of a stain without a stripe: the expectation of its family, with a wide doubt.

    Parameters
    ----------
    name, kind, family : of the stain; None is any family
    pooled : the values that all stains of the lab share; None for those that practice expects

    Returns
    -------
    StainCurve : K and S (31,) of one coat at full share, 400-700/10 nm

    >>> from stainbook.optics.curves import expected_curve
    >>> husk = expected_curve("husk", "surface", "brown")
    >>> husk.K[[0, 15, 30]].round(3).tolist()  # at 400, 550 and 700 nm
    [0.08, 0.03, 0.013]
    """
    mean, covariance = prior_of(name, kind, family, pooled or Pooled())
    return StainCurve(name, kind, family, mean, np.asarray(np.linalg.cholesky(covariance), dtype=float))
