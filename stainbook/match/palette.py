"""Few mixes for a whole case: which pots serve all zones best.

Facility location, greedily: each zone is served by the best single layer of any chosen pot, or by
being left; the pot that helps most is taken, then the next, until the palette is full. The greedy
choice reaches at least 63 % of the best possible gain (Nemhauser, Wolsey, Fisher 1978). All zones are
then searched again with the chosen pots alone, in all coats and layers.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from stainbook.match.options import Options
from stainbook.optics.two_by_two import Array
from stainbook.records import Pot


def choose_pots(scores: Array, leave: Array, options: Options, most: int) -> list[Pot]:
    """At most ``most`` pots.

    Parameters
    ----------
    scores : (z, n) of each option on each zone, higher is better
    leave : (z,) of leaving each zone
    """
    pots = list(dict.fromkeys(layer.pot for layer in options.layers))
    place = {pot: i for i, pot in enumerate(pots)}
    best = np.full((len(scores), len(pots)), -np.inf)
    np.maximum.at(best.T, np.array([place[layer.pot] for layer in options.layers]), scores.T)
    served, chosen = leave.copy(), list[Pot]()
    for _ in range(min(most, len(pots))):
        gain = np.maximum(best - served[:, None], 0.0).sum(axis=0)
        first = int(gain.argmax())
        if gain[first] <= 0.0:
            break
        chosen.append(pots[first])
        served = np.maximum(served, best[:, first])
    return chosen


def pots_used(moves: Sequence[Sequence[Pot]]) -> tuple[Pot, ...]:
    """The pots of several moves, each once, in order of their shares."""
    return tuple(sorted({pot for pots in moves for pot in pots}, key=lambda pot: pot.shares))
