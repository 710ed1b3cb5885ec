"""A small made-up lab for the tests of matching: stains as their families have them, but well known."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from stainbook.colour import WAVELENGTHS, spectrum_to_lab, thresholds
from stainbook.match import Bench, Start, ZoneProblem
from stainbook.optics.ceramic import Ceramic
from stainbook.optics.curves import SIZE, Optics, StainCurve, expected_curve
from stainbook.optics.film import Piece
from stainbook.optics.forecast import Hands
from stainbook.records import LabValues, Limits, Viewing

FAMILIES = {"teasel": "yellow", "husk": "brown", "flour": "white", "rosehip": "red", "slate": "grey", "tide": "blue"}
KNOWN_SD = 0.03  # of ln K and ln S: what a few chips leave open
CERAMIC = Ceramic(known=True)


def optics_of(names: tuple[str, ...] = tuple(FAMILIES), *, kind: str = "surface", chips: int = 7) -> Optics:
    """Optics of stains whose curves are their family's, known to 3 %."""
    curves: dict[str, StainCurve] = {}
    for name in names:
        mean = expected_curve(name, kind, FAMILIES[name]).mean
        curves[name] = StainCurve(name, kind, FAMILIES[name], mean, KNOWN_SD * np.eye(SIZE), chips)
    return Optics(curves)


def bench_of(
    names: tuple[str, ...] = tuple(FAMILIES), *, kind: str = "surface", chips: int = 7, **limits: object
) -> Bench:
    """A bench with these stains and limits."""
    families = {name: (kind, FAMILIES[name]) for name in names}
    own = Limits(**limits)  # type: ignore[arg-type]
    return Bench(optics_of(names, kind=kind, chips=chips), names, families, Hands(operator="bench-1"), own)


def tooth(level: float = 0.55, *, warm: float = 0.25) -> np.ndarray:
    """A reflectance (31,) that rises towards red, as a tooth's."""
    return level * (1.0 - warm / (1.0 + np.exp((np.asarray(WAVELENGTHS) - 470.0) / 30.0)))


def start_of(level: float = 0.55, *, surface: str = "glazed", name: str = "body", ceramic: Ceramic = CERAMIC) -> Start:
    """A body read on an instrument that repeats to 0.1 %."""
    stray = ceramic.stray if surface == "matt" else 0.0
    return Start(Piece(tooth(level), surface, stray, ceramic), name, covariance=1e-6 * np.eye(31))


def lab_of(reflectance: np.ndarray) -> np.ndarray:
    """L*, a*, b* under D65 and 10 degrees."""
    return np.asarray(spectrum_to_lab(reflectance, WAVELENGTHS, illuminant="D65", observer=10))


def problem_of(
    shift: tuple[float, float, float] | None = None,
    *,
    target: LabValues | None = None,
    key: tuple[int, str] = (11, "middle"),
    start: Start | None = None,
    tissue: str = "tooth",
    glazed: bool = True,
    bare: Start | None = None,
    firings_of: Mapping[str, int] | None = None,
) -> ZoneProblem:
    """A zone whose target lies so far in L*, a*, b* from its own reading, or at a colour."""
    now = start or start_of(name=f"{key[0]} {key[1]}")
    L, a, b = target if target is not None else tuple(lab_of(now.piece.reading) + np.array(shift or (0.0, 0.0, 0.0)))
    return ZoneProblem(
        key,
        tissue,
        now,
        (float(L), float(a), float(b)),
        Viewing(),
        thresholds(tissue),
        glazed=glazed,
        bare=bare,
        firings_of=firings_of or {},
    )
