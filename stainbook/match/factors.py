"""What outcomes tell of hands, jars and programmes, and what each may be before anything is known of it.

Each is a factor of the amount that is laid on. The hands of a lab are alike: each lies about the mean
hand of the lab, and the hand that made the chips, factor 1, is one of them. A jar lies about the one
that was in use before it. So a hand that is new starts at the lab's mean, a jar at the old one's value.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from stainbook.match.fired import Fired
from stainbook.optics.curves import Optics
from stainbook.optics.forecast import FIRING_SD, LOT_SD, OPERATOR_SD
from stainbook.optics.two_by_two import Array

Key = tuple[str, str, str | None]  # what, name, stain

PROGRAMME_SD = 0.08  # of ln amount: a firing programme that made no chips
OWN_HAND_SD = 0.05  # of ln amount: the chips' own hand, months later
BETWEEN_HANDS_SD = OPERATOR_SD / np.sqrt(2.0)  # of ln amount: of a hand about the lab's mean; two hands differ by more
BETWEEN_WEIGHT = 4  # hands' worth of trust in that spread
MEAN_HAND: Key = ("hands", "", None)
NOBODY = ""  # the name of whoever painted what tells no operator: one hand of the lab, or several


@dataclass(frozen=True, slots=True)
class Factor:
    """What was learnt of one hand, jar or programme: ln of its factor on the amount, with its doubt.

    ``shared`` is that doubt by the numbers that all factors and the stains' curves have in common.
    """

    what: str  # operator, lot or programme
    name: str
    stain: str | None
    ln: float
    sd: float
    outcomes: int
    shared: tuple[float, ...] = ()

    @property
    def own_sd(self) -> float:
        """The part of the doubt that it has in common with nothing."""
        return 0.0 if self.shared else self.sd

    @property
    def key(self) -> Key:
        """What it is of."""
        return self.what, self.name, self.stain

    @property
    def factor(self) -> float:
        """Its strength over that of the stripes': 1.18 is 18 % stronger."""
        return float(np.exp(self.ln))

    @property
    def interval(self) -> tuple[float, float]:
        """Factors between which the true one lies in 95 % of cases."""
        return float(np.exp(self.ln - 1.96 * self.sd)), float(np.exp(self.ln + 1.96 * self.sd))


@dataclass(frozen=True, slots=True)
class Scatter:
    """What was learnt of one hand's scatter: ln of the standard deviation of ln amount of one coat, with its doubt."""

    operator: str
    ln: float
    sd: float
    before: float  # the doubt of it before any outcome
    outcomes: int = 0

    @property
    def scatter(self) -> float:
        """The likeliest: 0.12 is 12 % a coat."""
        return float(np.exp(self.ln))

    @property
    def interval(self) -> tuple[float, float]:
        """Between which the true one lies in 95 % of cases."""
        return float(np.exp(self.ln - 1.96 * self.sd)), float(np.exp(self.ln + 1.96 * self.sd))

    @property
    def expected(self) -> float:
        """Root of the expected square: what a forecast is to count with, since the scatter itself is in doubt."""
        return float(np.exp(self.ln + self.sd**2))


@dataclass(frozen=True, slots=True)
class NewHand:
    """A hand of the lab that nothing is known of: ln of its factor, the doubt of that, its scatter of one coat.

    ``shared`` is the part of the doubt that the lab's mean hand has in common with what else was learnt.
    """

    ln: float = 0.0
    sd: float = OPERATOR_SD
    scatter: float | None = None  # None: as the chips show
    shared: tuple[float, ...] = ()

    @property
    def own_sd(self) -> float:
        """The part of the doubt that is this hand's alone."""
        return float(np.sqrt(max(self.sd**2 - sum(one**2 for one in self.shared), 0.0)))


@dataclass(frozen=True, slots=True, eq=False)
class LearntFactors:
    """Factors, scatters by operator, a hand not seen yet, outcomes held back, and the optics as they now stand."""

    factors: dict[Key, Factor]
    held: dict[str, float]  # outcome key: squared distance
    optics: Optics
    scatters: dict[str, Scatter] = field(default_factory=dict)
    new_hand: NewHand = field(default_factory=NewHand)
    firing: float = FIRING_SD  # of ln amount: how firings differ


def factors_of(one: Fired) -> list[Key]:
    """The hand, the programme and the jars that take part in an outcome."""
    found: list[Key] = [("operator", one.operator or NOBODY, None)]
    if one.programme:
        found.append(("programme", one.programme, None))
    used = {name for layer in one.layers for name in layer.pot.stains}
    return found + [("lot", lot, stain) for stain, lot in one.lots.items() if stain in used]


def keys_of(outcomes: Sequence[Fired]) -> dict[Key, int]:
    """Every factor that takes part, numbered, and the mean hand; the order of outcomes does not matter."""
    keys = sorted({key for one in outcomes for key in factors_of(one)}, key=str)
    return {key: i for i, key in enumerate([MEAN_HAND, *keys])}


def prior_precision(
    keys: Mapping[Key, int], own_hand: str | None, lots_before: Mapping[tuple[str, str], str], between: float
) -> Array:
    """Precision (k, k) of the ln factors before any outcome; all are expected at 0.

    Parameters
    ----------
    own_hand : who painted the stripes
    lots_before : by stain and jar, the jar in use before it; one that is not among the keys is the stripes'
    between : standard deviation of a hand about the lab's mean, of ln amount
    """
    out = np.zeros((len(keys), len(keys)))

    def tie(key: Key, sd: float, to: Key | None = None) -> None:
        row = np.zeros(len(keys))
        row[keys[key]] = 1.0
        if to is not None:
            row[keys[to]] = -1.0
        out[:] += np.outer(row, row) / sd**2

    for what, name, stain in keys:
        key = what, name, stain
        if key == MEAN_HAND:
            tie(key, between)  # the chips' hand, at 0, is one of the lab's
        elif what == "operator" and own_hand and name == own_hand:
            tie(key, OWN_HAND_SD)
        elif what == "operator":
            tie(key, between, MEAN_HAND)
        elif what == "lot":
            before: Key = ("lot", lots_before.get((stain or "", name), ""), stain)
            tie(key, LOT_SD, before if before in keys else None)
        else:
            tie(key, PROGRAMME_SD)
    return out


def between_hands(keys: Mapping[Key, int], own_hand: str | None, z: Array, covariance: Array) -> float:
    """Standard deviation of a hand about the lab's mean, of ln amount, as the hands seen and common practice have it.

    ``z`` (k,) and ``covariance`` (k, k) are of the ln factors.
    """
    mean = keys[MEAN_HAND]
    total, count = BETWEEN_WEIGHT * BETWEEN_HANDS_SD**2 + z[mean] ** 2 + covariance[mean, mean], BETWEEN_WEIGHT + 1
    for (what, name, _), i in keys.items():
        if what == "operator" and not (own_hand and name == own_hand):
            variance = covariance[i, i] + covariance[mean, mean] - 2.0 * covariance[i, mean]
            total, count = total + (z[i] - z[mean]) ** 2 + variance, count + 1
    return float(np.sqrt(total / count))
