"""Chips that another hand made, or another jar: what they have in common is one difference, not many chances.

Ten chips of a strong hand do not average out to the usual one. Their amounts take part in the fit with a difference
that all of them share, of which only its usual size is known; the fit learns the rest where it can.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from stainbook.optics.two_by_two import Array


@dataclass(frozen=True, slots=True)
class Unlike:
    """Why one layer of a chip may hold more or less than meant, together with all that share the cause.

    ``sd`` is of ln amount.
    """

    layer: int  # 0 is the bottom
    cause: str
    sd: float


@dataclass(frozen=True, slots=True, eq=False)
class HandSpread:
    """Covariance and precision (n·L, n·L) of ln amount over all layers of all chips, and each layer's own variance.

    ``apart``: no layers share a difference.
    """

    covariance: Array
    precision: Array
    own: Array  # (n·L,)
    apart: bool = True

    def own_part(self, hand: Array, covariance: Array) -> tuple[Array, Array]:
        """The part of fitted amounts (n·L,) that is each layer's own, and its covariance, the shared part taken off.

        Parameters
        ----------
        hand : (n·L,) fitted ln amounts
        covariance : (n·L, n·L) their covariance after the fit
        """
        share = self.own[:, None] * self.precision
        return share @ hand, share @ covariance @ share.T + np.diag(self.own) - share * self.own


def hand_spread(sd: Array, unlike: Sequence[Sequence[Unlike]]) -> HandSpread:
    """How amounts may differ from those that were meant.

    Parameters
    ----------
    sd : (n, L) of ln amount, of each layer on its own
    unlike : of each stripe, the differences that its layers share with others
    """
    own = np.square(sd).reshape(-1)
    causes: dict[str, Array] = {}
    for chip, found in enumerate(unlike):
        for one in found:
            causes.setdefault(one.cause, np.zeros(own.size))[chip * sd.shape[1] + one.layer] += one.sd
    covariance = np.diag(own) + sum((np.outer(row, row) for row in causes.values()), np.zeros((own.size, own.size)))
    return HandSpread(covariance, np.asarray(np.linalg.inv(covariance), dtype=float), own, not causes)
