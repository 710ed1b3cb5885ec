"""How much hands scatter, from outcomes: the marginal likelihood of how far amounts lie from what is believed.

An outcome is a whitened residual whose covariance is the identity (all else that belongs to it alone)
and, for each layer, the square of its hand's scatter times the outer product of a row: how the amount of
that layer shows. Rows of one outcome are turned so that they do not mix. Hands, jars and curves are
integrated out with it, so that what was fitted to few outcomes does not make a hand look steadier than it
is (restricted maximum likelihood, by steps of Fisher's scoring). Every hand is drawn towards the lab's scatter.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from stainbook.match.factors import Scatter
from stainbook.optics.two_by_two import Array

BETWEEN = 0.4  # of ln scatter: hands of one lab; 12 % a coat in the middle means 5 to 27 % (common practice)
OWN = 0.2  # of ln scatter: the chips' own hand, whose scatter the chips have shown
FIRINGS = 0.5  # of ln scatter of firings: how far a furnace may differ from what is usual
LONGEST = 0.5  # of ln scatter: a step at most


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """The rows of some outcomes that share nothing: of m layers, with p unknowns that all outcomes share.

    ``square`` (m,) is the squared length of each row, ``shared`` (m, p) its product with the outcome's
    slopes, ``seen`` (m,) with its residual where all unknowns are 0, ``hand`` (m,) whose it is.
    """

    square: Array
    shared: Array
    seen: Array
    hand: np.ndarray

    @classmethod
    def of(cls, slopes: Array, residual: Array, rows: Array, hand: int) -> Rows:
        """Of one whitened outcome: slopes (31, p), residual (31,), a row a layer (31, L)."""
        square, turn = np.linalg.eigh(rows.T @ rows)
        turned = rows @ turn
        return cls(np.maximum(square, 0.0), turned.T @ slopes, turned.T @ residual, np.full(len(square), hand))

    @classmethod
    def none(cls, unknowns: int) -> Rows:
        """Of no outcome."""
        return cls(np.zeros(0), np.zeros((0, unknowns)), np.zeros(0), np.zeros(0, dtype=int))

    @classmethod
    def together(cls, some: Sequence[Rows]) -> Rows:
        """Of several outcomes."""
        return cls(
            np.concatenate([one.square for one in some]),
            np.concatenate([one.shared for one in some]),
            np.concatenate([one.seen for one in some]),
            np.concatenate([one.hand for one in some]),
        )

    def variance(self, hands: Sequence[Scatter]) -> Array:
        """(m,) of the ln amount of each row's coat."""
        return np.asarray(np.array([one.scatter**2 for one in hands])[self.hand])


def normal_equations(normal: Array, right: Array, rows: Rows, hands: Sequence[Scatter]) -> tuple[Array, Array]:
    """The normal matrix (p, p) and right side (p,) of steady hands, changed for the scatter of these."""
    variance = rows.variance(hands)
    weight = variance / (1.0 + variance * rows.square)
    return normal - (rows.shared.T * weight) @ rows.shared, right - rows.shared.T @ (weight * rows.seen)


def hands_before(names: Sequence[str], chips: float, own_hand: str | None) -> list[Scatter]:
    """The hands of a lab before any outcome: each as the stripes show their own, of ln amount of one coat."""
    doubts = [OWN if name == own_hand else BETWEEN for name in names]
    return [Scatter(name, float(np.log(chips)), sd, sd) for name, sd in zip(names, doubts, strict=True)]


def hands_scored(
    hands: Sequence[Scatter], rows: Rows, z: Array, covariance: Array, *, chips: float, own_hand: str | None
) -> list[Scatter]:
    """Each hand's scatter one step likelier, with the doubt of its ln.

    Parameters
    ----------
    z, covariance : the unknowns (p,) and their doubt (p, p) with the scatter as it stands
    chips : the scatter of one coat that the stripes showed
    own_hand : who painted the stripes
    """
    rest = 1.0 / (1.0 + rows.variance(hands) * rows.square)
    expected = rest * rows.square - rest**2 * ((rows.shared @ covariance) * rows.shared).sum(axis=1)
    found = rest**2 * (rows.seen - rows.shared @ z) ** 2
    lab, scored = lab_scatter(hands, chips, own_hand), []
    for place, one in enumerate(hands):
        own, middle = rows.hand == place, chips if one.operator == own_hand else lab
        ln, doubt = _step(one.ln, found[own], expected[own], float(np.log(middle)), one.before)
        scored.append(replace(one, ln=ln, sd=doubt))
    return scored


def firings_scored(scatter: float, amounts: Array, variances: Array, usual: float) -> float:
    """The scatter of firings, of ln amount, one step likelier, from the estimate of each (n,) and its variance (n,)."""
    expected = 1.0 / scatter**2 - variances / scatter**4
    ln, _ = _step(float(np.log(scatter)), (amounts / scatter**2) ** 2, expected, float(np.log(usual)), FIRINGS)
    return float(np.exp(ln))


def lab_scatter(hands: Sequence[Scatter], chips: float, own_hand: str | None) -> float:
    """The scatter in the middle of the lab's hands, the stripes' among them: that of a hand not seen yet."""
    others = [one.ln for one in hands if one.operator != own_hand]
    own = [one.ln for one in hands if one.operator == own_hand] or [np.log(chips)]
    return float(np.exp(np.mean([*own, *others])))


def _step(ln: float, found: Array, expected: Array, middle: float, sd: float) -> tuple[float, float]:
    """One step of scoring in ln scatter, and the doubt of it; ``found`` and ``expected`` are squares of ln amount."""
    variance = float(np.exp(2.0 * ln))
    slope = variance * float(found.sum() - expected.sum()) + (middle - ln) / sd**2
    information = 2.0 * variance**2 * float(expected @ expected) + 1.0 / sd**2
    return ln + float(np.clip(slope / information, -LONGEST, LONGEST)), float(information**-0.5)
