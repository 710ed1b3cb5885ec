"""What a zone that missed can still become: the firings after this one.

Coats only add. So whether a miss can be put right depends on its side: what came out too pale gets
a little more, and a little has little doubt, for the hand scatters in proportion; what came out too
dark has no stain to bring it back, unless a white one does. This is worked out from the draws: each
miss looks for the one-layer options whose shift is nearest to what it still needs, and takes the one
most likely to get there. After the first firing the piece has been read through its glaze, so
the doubt of its bare face is gone, and half of what chips, lots and hands left open has shown.
A further firing does the same for what the second is then expected to miss.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stainbook.match.candidates import Search
from stainbook.match.guess import OptionDoubt, ZoneDoubt, chance_within, zone_doubt
from stainbook.match.odds import Odds
from stainbook.optics.two_by_two import Array

NEAREST = 4  # corrections looked at for each miss
BELOW = 3  # layers on which a second one is tried, of those that go the whole way and of those that go half
KNOWN = 0.5  # share of the unlearnt variance that the first firing shows
READ_AGAIN_SD = 0.15  # ΔE00 in each direction: reading noise of the piece between firings
MISSES = 48  # of each move that are followed up; they stand for all of its misses
MOST_FIRINGS = 4  # looked ahead; the odds of a fifth change nothing
_AXIS = np.sqrt(3.0)  # two points on each of three axes carry a normal's mean and covariance


@dataclass(frozen=True, slots=True, eq=False)
class Corrections:
    """One-layer options as corrections: a zone's search, and their doubt after a first firing."""

    search: Search
    doubt: ZoneDoubt
    layers: int = 1

    @property
    def limit(self) -> float:
        """ΔE00 up to which a colour is accepted."""
        return self.search.limit


@dataclass(frozen=True, slots=True, eq=False)
class Within:
    """For each draw (n, draws) the chance of being accepted in the firings left, and the firings it takes."""

    chance: Array
    firings: Array


def corrections_of(search: Search, doubt: OptionDoubt, *, first: bool = False, layers: int = 1) -> Corrections | None:
    """The corrections of one zone; None when nothing may be put on.

    ``first`` : no surface stain was fired on the piece yet, so that no firing has shown any of the doubt.
    """
    if not len(search.near.places):
        return None
    if first:
        return Corrections(search, search.doubt, layers)
    again = READ_AGAIN_SD**2 * np.eye(3)
    return Corrections(search, zone_doubt(doubt, search.shifts, search.frame.of_ln, again, known=KNOWN))


def follow_up(
    odds: Odds, limit: float, corrections: Corrections | None, firings_after: NDArray[np.int_], first: Array
) -> Within:
    """Chance and firings of every draw of a zone's steps.

    Parameters
    ----------
    odds : of the n steps, draw by draw
    limit : ΔE00 up to which a colour is accepted
    corrections : what a further firing may put on; None for nothing
    firings_after : (n,) firings still allowed after each step
    first : (n,) firings that the step itself takes, 1 or 0
    """
    missed = odds.draws > limit
    chance, firings = (~missed).astype(float), np.repeat(first[:, None], missed.shape[1], axis=1)
    chance[~missed & ~odds.hits] = 0.0  # no stain makes a pair that parts in another light agree there
    if corrections is None:
        return Within(chance, firings)
    for left in np.unique(firings_after[firings_after > 0]):
        moves, draws = _followed(missed & (firings_after == left)[:, None])
        if len(moves):
            won, more = corrected(corrections, odds.needs[moves, draws], min(int(left), MOST_FIRINGS - 1))
            _spread(chance, firings, missed, (moves, draws), won * odds.holds[moves], more)
    return Within(chance, firings)


def _followed(missed: NDArray[np.bool_]) -> tuple[NDArray[np.int_], NDArray[np.int_]]:
    """Moves and draws of the misses to follow up: at most `MISSES` a move, evenly spread over its draws."""
    order = np.cumsum(missed, axis=1) - 1
    total = missed.sum(axis=1, keepdims=True)
    every = np.maximum(total / MISSES, 1.0)
    moves, draws = np.nonzero(missed & (np.floor(order / every) != np.floor((order - 1) / every)))
    return moves, draws


def _spread(
    chance: Array,
    firings: Array,
    missed: NDArray[np.bool_],
    followed: tuple[NDArray[np.int_], NDArray[np.int_]],
    won: Array,
    more: Array,
) -> None:
    """Give every miss of a move what the last one followed up before it has won."""
    for move in np.unique(followed[0]):
        own = followed[0] == move
        places = np.flatnonzero(missed[move])
        nearest = np.searchsorted(followed[1][own], places, side="right") - 1
        chance[move, places] = won[own][nearest]
        firings[move, places] += more[own][nearest]


def corrected(corrections: Corrections, needs: Array, left: int) -> tuple[Array, Array]:
    """Chance (m,) of being accepted in ``left`` more firings, and their expected number (m,), for needs (m, 3)."""
    near = _stacks(corrections, needs)  # (m, c, L)
    steps, covariance = (
        _shifts(corrections, near) - needs[:, None],
        corrections.doubt.of(near.reshape(-1, near.shape[2])),
    )
    chance = chance_within(steps.reshape(-1, 3), covariance, corrections.limit).reshape(near.shape[:2])
    best = chance.argmax(axis=1)
    at = np.arange(len(needs)), best
    won = chance[at]
    if left == 1:
        return won, np.ones(len(needs))
    again, more = _after_that(corrections, steps[at], covariance.reshape(*near.shape[:2], 3, 3)[at], left - 1)
    return won + (1.0 - won) * again, 1.0 + (1.0 - won) * more


def _stacks(corrections: Corrections, needs: Array) -> NDArray[np.int_]:
    """(m, c, L) stacks of options, -1 for no layer, that end near what is needed (m, 3): single layers, then pairs.

    A pair begins with a layer that goes the whole way or half of it, and ends with what that leaves; shifts of layers
    all but add up.
    """
    search = corrections.search
    single = search.near.nearest(needs, NEAREST)[:, :, None]
    if corrections.layers < 2:
        return single
    below = np.concatenate([search.near.nearest(needs, BELOW), search.near.nearest(0.5 * needs, BELOW)], axis=1)
    left = needs[:, None] - search.shifts[below]
    above = search.near.nearest(left.reshape(-1, 3), 1).reshape(below.shape)
    over = search.options.coats[below] + search.options.coats[above] > search.options.in_all
    pairs = np.stack([below, np.where(over, -1, above)], axis=2)
    return np.concatenate([np.pad(single, ((0, 0), (0, 0), (0, 1)), constant_values=-1), pairs], axis=1)


def _shifts(corrections: Corrections, stacks: NDArray[np.int_]) -> Array:
    """(m, c, 3) of stacks (m, c, L)."""
    own = corrections.search.shifts[stacks]
    return np.asarray(np.where((stacks >= 0)[..., None], own, 0.0).sum(axis=2))


def _after_that(corrections: Corrections, steps: Array, covariance: Array, left: int) -> tuple[Array, Array]:
    """Chance and firings of those that miss again: six points stand for where they may have come to lie."""
    root = _AXIS * np.swapaxes(np.linalg.cholesky(covariance), 1, 2)
    points = steps[:, None] + np.concatenate([root, -root], axis=1)
    weight = np.maximum(np.linalg.norm(points, axis=-1) - corrections.limit, 1e-6)  # the further, the likelier missed
    weight /= weight.sum(axis=1, keepdims=True)
    won, more = corrected(corrections, -points.reshape(-1, 3), left)
    return (weight * won.reshape(weight.shape)).sum(axis=1), (weight * more.reshape(weight.shape)).sum(axis=1)
