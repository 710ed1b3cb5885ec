"""What the pages draw, as plain numbers: states, planes around a target, curves. No widget is known here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stainbook.book.case_state import CaseState
from stainbook.colour import (
    ThresholdSet,
    delta_e_2000,
    grade_interval,
    threshold_set,
    thresholds,
    visibility_interval,
)
from stainbook.language import Text
from stainbook.records import Case, LabValues
from stainbook.words import hues, mixes, sentences, states
from stainbook.words.states import State
from stainbook.work.documents.schemas import AdvisedCase, AdvisedZone, ColourResult, Move

Floats = NDArray[np.float64]

PLANES = ("ab", "LC")
NOW, PREDICTED, TARGET = "now", "predicted", "target"  # names of curves
BAND = 1.645  # standard deviations on each side of a curve: 5-95 %
_DIRECTIONS = 96  # of a contour
_HALVINGS = 30  # of the search for a radius: 200 units to 2e-7
_FARTHEST = 200.0  # L*a*b* units
_NINETY = 2.146  # standard deviations: the root of -2 ln 0.1
_GREY = 1e-6  # C* below which a colour has no hue


class Curve(NamedTuple):
    """A reflectance spectrum to draw: what it is, wavelengths in nm, factors, and the band of its doubt."""

    name: str
    wavelengths: tuple[float, ...]
    reflectance: tuple[float, ...]
    low: tuple[float, ...] = ()
    high: tuple[float, ...] = ()


class PathPoint(NamedTuple):
    """One place of a zone on its way through the firings: measured, or what was expected of a firing."""

    colour: ColourResult
    measured: bool


@dataclass(frozen=True, slots=True)
class ZoneSeen:
    """What plots draw of one zone and one step: spectra, the doubt of the step's colour, the way so far.

    ``doubt`` is the covariance (3, 3) of the expected L*, a*, b*; what is not known is None or empty.
    """

    now: Curve | None = None
    after: Curve | None = None
    target: Curve | None = None
    doubt: Floats | None = None
    path: tuple[PathPoint, ...] = ()


@dataclass(frozen=True, slots=True)
class CaseView:
    """A case as its page shows it."""

    case: Case
    advised: AdvisedCase
    warnings: tuple[str, ...] = ()
    state: CaseState | None = None

    @property
    def viewing(self) -> ColourResult | None:
        """The first colour that says under which light and observer the case is judged."""
        return next((colour for zone in self.advised.zones for colour in (zone.target, zone.now) if colour), None)


def limits_of(zone: AdvisedZone) -> ThresholdSet:
    """The thresholds that a zone was judged by: those it names, else the default of its tissue."""
    return threshold_set(zone.thresholds) if zone.thresholds else thresholds(zone.tissue)


def step_of(dE00: float, limits: ThresholdSet) -> int:
    """The step of the difference ramp: 0 not seen, 1 accepted, 2, 3, 4 up to twice, thrice, over thrice acceptable."""
    ends = (limits.perceptible, limits.acceptable, 2.0 * limits.acceptable, 3.0 * limits.acceptable)
    return sum(dE00 > end for end in ends)


def zone_state(zone: AdvisedZone) -> State:
    """Where a zone stands against its thresholds, doubt included, unless stain cannot bring it there.

    One that stays as it is counts as it will be after its finish, all others as they are.
    """
    gap, standing = zone.gap, zone.standing.from_ if zone.standing else None
    if gap is None or not zone.counted:
        return states.state(gap.grade if gap else None, standing=standing, by_eye=not zone.counted)
    finished = [move for move in zone.moves if move.kind == "leave"] if zone.verdict == "leave" else []
    if not finished:
        return states.state(gap.grade, gap.visibility, verdict=zone.verdict, standing=standing)
    low, high, limits = finished[0].dE00_p05, finished[0].dE00_p95, limits_of(zone)
    return states.state(grade_interval(low, high, limits), visibility_interval(low, high, limits), standing=standing)


def lab_of(colour: ColourResult) -> Floats:
    """L*, a*, b* (3,) of a colour."""
    return np.array([colour.L, colour.a, colour.b])


def difference(first: ColourResult | None, second: ColourResult | None) -> float | None:
    """ΔE00 of two colours, None where one is missing or they hold under different light or observer."""
    if first is None or second is None:
        return None
    if (first.illuminant, first.observer) != (second.illuminant, second.observer):
        return None
    return float(delta_e_2000(lab_of(first), lab_of(second)))


def predicted(zone: AdvisedZone, move: Move | None) -> ColourResult | None:
    """The colour that a zone is expected to have: that of the step, else the one it has."""
    return zone.now if move is None else move.colour


@lru_cache(maxsize=4096)
def _mix(shares: tuple[tuple[str, float], ...], liquid: bool) -> str:
    return mixes.mix(dict(shares), liquid=liquid) if shares else ""


def parts_of(shares: Mapping[str, float], *, liquid: bool = False) -> str:
    """A mix as the bench weighs it, ``1 part husk + 7 parts clear``; empty for clear glaze alone."""
    return _mix(tuple(sorted(shares.items())), liquid)


def reason(move: Move) -> str:
    """Why a move is there, without its mixes, for where these stand beside it."""
    if isinstance(move.why, Text):
        return sentences.without_mixes(move.why)
    liquid = any(one.liquid for one in move.layers)
    painted = mixes.layers(move.layers, liquid=liquid)
    head, found, tail = move.why.partition(f"{painted} ")
    return f"{head}{tail}" if found and move.layers else move.why


def hue_towards(colour: ColourResult, dH: float) -> str:
    """The name of the hue that a colour nears when it turns by the sign of ΔH′."""
    return hues.hue_towards(hues.hue_angle(colour.a, colour.b), dH)


def contour(target: ArrayLike, dE00: float, *, plane: str) -> Floats:
    """The colours that lie ``dE00`` from a target, within one plane through it.

    Parameters
    ----------
    target : (3,) float, L*, a*, b*
    dE00 : radius in ΔE00
    plane : ``ab`` at the target's L*, or ``LC`` at the target's hue

    Returns
    -------
    (97, 2) float: a*, b* or C*, L* around the target, closed; not beyond C* = 0
    """
    L, a, b = (float(value) for value in np.asarray(target, dtype=np.float64))
    return _contour((L, a, b), dE00, plane)


@lru_cache(maxsize=512)
def _contour(target: LabValues, dE00: float, plane: str) -> Floats:
    centre = np.asarray(target)
    angles = np.linspace(0.0, 2.0 * np.pi, _DIRECTIONS, endpoint=False)
    steps = _directions(centre, angles, plane)
    low, high = np.zeros(_DIRECTIONS), np.full(_DIRECTIONS, _FARTHEST)
    for _ in range(_HALVINGS):
        radius = 0.5 * (low + high)
        inside = delta_e_2000(centre + radius[:, np.newaxis] * steps, centre) < dE00
        low, high = np.where(inside, radius, low), np.where(inside, high, radius)
    offsets = low[:, np.newaxis] * np.column_stack([np.cos(angles), np.sin(angles)])
    around = in_plane(centre, plane) + offsets
    if plane == "LC":
        around[:, 0] = np.maximum(around[:, 0], 0.0)
    closed = np.vstack([around, around[:1]])
    closed.setflags(write=False)  # all who ask get this one
    return closed


def in_plane(lab: ArrayLike, plane: str) -> Floats:
    """A colour (3,) as the plane's across and up: a*, b* or C*, L*."""
    L, a, b = np.asarray(lab, dtype=np.float64)
    return np.array([a, b]) if plane == "ab" else np.array([np.hypot(a, b), L])


def half_span(target: ArrayLike, others: Sequence[ArrayLike], dE00: float) -> float:
    """How far both planes reach from the target on each side, the same on all axes, to hold all of it."""
    needs = [
        np.abs(points - in_plane(target, plane)).max()
        for plane in PLANES
        for points in (contour(target, dE00, plane=plane), *(in_plane(lab, plane)[np.newaxis] for lab in others))
    ]
    return float(np.ceil(max(needs) * 1.1 + 0.5))


def ellipse(lab: ArrayLike, covariance: Floats, *, plane: str) -> Floats:
    """Where 90 % of colours lie whose covariance (3, 3) this is, as a plane sees them: (97, 2), closed.

    ``ab`` leaves L* aside, ``LC`` the hue; of a normal of two dimensions 90 % lie within 2.146 deviations.
    """
    L, a, b = np.asarray(lab, dtype=np.float64)
    C = max(float(np.hypot(a, b)), _GREY)
    to_plane = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0]] if plane == "ab" else [[0.0, a / C, b / C], [1.0, 0.0, 0.0]])
    values, vectors = np.linalg.eigh(to_plane @ covariance @ to_plane.T)
    angles = np.linspace(0.0, 2.0 * np.pi, _DIRECTIONS + 1)
    circle = np.column_stack([np.cos(angles), np.sin(angles)])
    return np.asarray(in_plane([L, a, b], plane) + _NINETY * (circle * np.sqrt(np.maximum(values, 0.0))) @ vectors.T)


def _directions(centre: Floats, angles: Floats, plane: str) -> Floats:
    """Unit steps (n, 3) in L*, a*, b* of the plane's directions."""
    across, up = np.cos(angles), np.sin(angles)
    if plane == "ab":
        return np.column_stack([np.zeros_like(angles), across, up])
    hue = np.arctan2(centre[2], centre[1])
    return np.column_stack([up, across * np.cos(hue), across * np.sin(hue)])
