"""How far a zone is from its target, and how surely."""

from __future__ import annotations

from dataclasses import dataclass

from stainbook.colour import ThresholdSet, delta_e_2000_parts, grade_interval, visibility_interval
from stainbook.optics.two_by_two import Array
from stainbook.records import LabValues


@dataclass(frozen=True, slots=True)
class ZoneGap:
    """Piece after its finish against the target: ΔE00 and its parts, piece minus target, and what can be told.

    ``low`` and ``high`` hold the true ΔE00 in 90 % of cases.
    """

    dE00: float
    dL: float
    dC: float
    dH: float
    low: float
    high: float
    grade: str
    visibility: str


def gap_of(
    lab: Array | LabValues, target: Array | LabValues, limits: ThresholdSet, *, low: float, high: float
) -> ZoneGap:
    """The gap of a likeliest colour, graded by the interval that holds its ΔE00 in 90 % of cases.

    Parameters
    ----------
    lab, target : (3,) float, L*, a*, b* under one light and observer
    limits : thresholds in ΔE00
    low, high : ΔE00, the ends of the interval

    Raises
    ------
    InputError : for another shape

    >>> from stainbook.colour import thresholds
    >>> from stainbook.match.gap import gap_of
    >>> gap_of((70.0, 1.0, 15.0), (72.0, 1.5, 17.0), thresholds("tooth"), low=1.5, high=2.6).grade
    'cannot tell'
    """
    parts = delta_e_2000_parts(lab, target)
    return ZoneGap(
        dE00=float(parts.dE00),
        dL=float(parts.dL),
        dC=float(parts.dC),
        dH=float(parts.dH),
        low=low,
        high=high,
        grade=grade_interval(low, high, limits),
        visibility=visibility_interval(low, high, limits),
    )
