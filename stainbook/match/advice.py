"""What is told of a zone, a blank and a case: plain frozen results, as formats.md has them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stainbook.match.gap import ZoneGap
from stainbook.match.lights import InLight
from stainbook.match.problem import Key
from stainbook.match.reasons import Kind as Kind
from stainbook.match.reasons import Reason, ZoneNote
from stainbook.records import LabValues, Layers, Pot, Viewing

Verdict = Literal["stain", "leave", "out of reach", "no firing"]


@dataclass(frozen=True, slots=True)
class FollowOn:
    """The surface stain that is expected to follow on liquids, and what comes of it."""

    layers: Layers
    dE00: float
    accept: float


@dataclass(frozen=True, slots=True)
class NextStep:
    """One next step of a zone; its colour and odds are those after the finish, under ``viewing``.

    ``dE00`` is expected, ``low`` and ``high`` its 5th and 95th percentile, ``point`` that of the
    likeliest colour ``lab``; ``on`` names the blank of a remake; ``then`` is what follows on liquids,
    ``lights`` the step in each light of the case, ``radius`` the ΔE00 about ``lab`` that holds
    9 in 10 of what comes out.
    """

    rank: int
    kind: Kind
    layers: Layers
    lab: LabValues
    viewing: Viewing
    dE00: float
    low: float
    high: float
    point: float
    accept: float
    accept_within: float
    firings: float
    why: Reason
    on: str | None = None
    then: FollowOn | None = None
    lights: tuple[InLight, ...] = ()
    radius: float | None = None


@dataclass(frozen=True, slots=True)
class ZoneAdvice:
    """A zone's gap, its verdict with what to know about it, and its moves in order."""

    key: Key
    tissue: str
    gap: ZoneGap
    verdict: Verdict
    note: ZoneNote | None
    moves: tuple[NextStep, ...]


@dataclass(frozen=True, slots=True)
class CaseAdvice:
    """The zones, and the chance that all are accepted after their first moves, or within the firings left.

    ``pots`` are the mixes that the first moves use.
    """

    accept: float
    accept_within: float
    zones: tuple[ZoneAdvice, ...]
    pots: tuple[Pot, ...]


@dataclass(frozen=True, slots=True)
class BlankAdvice:
    """A blank to start from, and what the case would become on it."""

    blank: str
    case: CaseAdvice
