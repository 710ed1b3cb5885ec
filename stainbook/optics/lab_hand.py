"""How much the hand scatters that painted a lab's stripes, as all their layers show it, and what is usual of hands.

The layers' amounts are known only through stains that are learnt from the same layers, so that 28 layers tell less
than 28 drawn amounts would: how much less is known from what the fit left open of them. What they tell is weighed
against what is usual of hands by a distribution with long tails: a hand near the usual is drawn towards it, one that is
plainly another is believed. Told is not the likeliest scatter but the one of a normal number within which nine in ten
lie of all that are possible, as Student's t has it of a number whose deviation is known from few.

References
----------
Lange KL, Little RJA, Taylor JMG. J Am Stat Assoc 1989;84:881-96 (long tails for what may be far off).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import erf

import numpy as np

from stainbook.optics.curves import HAND_SD, SIZE
from stainbook.optics.fit import Group, Solution
from stainbook.optics.two_by_two import Array

BETWEEN = 0.3  # of the ln of a hand's scatter: how hands differ from the usual one
TAILS = 4.0  # degrees of freedom of that
BELIEVED = 0.99  # pull of a chip: one that misses by more than honest ones do tells nothing of the hand
LUCK = 25.0  # squares of one layer's amount in units of the scatter used: more is none, 19 are seen where 0.12 is 0.30
LEAST = 1e-2  # of the scatter last used
NINE_IN_TEN = 0.9
_LN = np.arange(np.log(0.015), np.log(1.0), 0.04)  # scatters that are looked at
# of each scatter (rows) the share of amounts of each other one (columns) that its nine in ten holds
_WITHIN = np.array([[erf(1.645 * np.exp(one - other) / np.sqrt(2.0)) for other in _LN] for one in _LN])


def lab_hand(groups: Sequence[Group], solutions: Sequence[Solution], used: float) -> float:
    """Standard deviation of ln amount of one coat, over all layers of all chips.

    Parameters
    ----------
    groups, solutions : as fitted under the scatter ``used``

    >>> from stainbook.optics.lab_hand import lab_hand
    >>> round(lab_hand([], [], 0.2), 2)  # nothing was painted: what is usual
    0.12
    """
    excess, worth = 0.0, 0.0
    for squares, told in _layers(groups, solutions):
        excess += float((squares - 1.0).sum())
        worth += float(np.square(told).sum())
    if not worth:
        return HAND_SD
    shown = used**2 * max(1.0 + excess / worth, LEAST)
    ln_likelihood = -worth * (_LN + 0.5 * shown * np.exp(-2.0 * _LN))
    usual = -0.5 * (TAILS + 1.0) * np.log1p(np.square((_LN - np.log(HAND_SD)) / BETWEEN) / TAILS)
    weight = np.exp(ln_likelihood + usual - (ln_likelihood + usual).max())
    return float(np.exp(np.interp(NINE_IN_TEN, _WITHIN @ (weight / weight.sum()), _LN)))


def _layers(groups: Sequence[Group], solutions: Sequence[Solution]) -> list[tuple[Array, Array]]:
    """All layers: squares of their amounts in units of the scatter used, and what the fit tells of them."""
    squares, told = [], []
    for group, solution in zip(groups, solutions, strict=True):
        first = len(group.names) * SIZE
        own, covariance = group.spread.own_part(solution.hand.reshape(-1), solution.covariance[first:, first:])
        pull = np.repeat(solution.pull, group.stack.layers)
        luck = np.square(own) <= LUCK * group.spread.own
        laid = (group.stack.coats.reshape(-1) > 0.0) & (pull > BELIEVED) & luck
        size = np.sqrt(pull / group.spread.own)
        covariance = size[:, None] * covariance * size
        squares.append((np.square(size * own) + covariance.diagonal())[laid])
        told.append((np.eye(own.size) - covariance)[np.ix_(laid, laid)])
    return list(zip(squares, told, strict=True))
