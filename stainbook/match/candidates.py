"""The few stacks of layers worth a forecast, found among millions without trying them all.

One layer: the response gives every option's colour, exactly. More layers: shifts of ln X, Y, Z all
but add up, so the best partner of a layer is the option whose own shift is nearest to what that
layer leaves to go, which a k-d tree finds. Where shifts do not quite add up shows when the pair is
computed; the search goes again for what it misses by (a secant step). A third layer is laid on the
best pairs in the same way.

Cost for n options (stains² x shares² x coats / 2): per zone n colours, a tree of n points, and
`BOTTOMS` x `NEIGHBOURS` x (1 + 1/4) pairs a further layer, instead of n² or n³.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stainbook.match.frame import TargetFrame
from stainbook.match.guess import ZoneDoubt, chance_within, diverse, score, simplicity, top
from stainbook.match.layer_options import Options
from stainbook.match.lights import in_all
from stainbook.match.response import OptionResponse
from stainbook.optics.film import Piece
from stainbook.optics.two_by_two import Array

BOTTOMS = 400  # layers, of the likeliest and of single stains, on which a further one is sought
NEIGHBOURS = 6
DEEP = 40  # times the length of the short list: how far down other stains are looked for
EACH = 3  # most candidates of the same stains on a short list

Rows = NDArray[np.int_]


class Neighbours:
    """The allowed ones among ``n`` options by their shifts (n, 3)."""

    def __init__(self, shifts: Array, allowed: NDArray[np.bool_]) -> None:
        from scipy.spatial import cKDTree

        self.places = np.flatnonzero(allowed)
        self._tree = cKDTree(shifts[self.places]) if len(self.places) else None

    def nearest(self, wanted: Array, count: int) -> Rows:
        """(r, count) options whose shift is nearest to what is wanted (r, 3); fewer when there are no more."""
        if self._tree is None:
            return np.empty((len(wanted), 0), dtype=int)
        _, found = self._tree.query(wanted, k=np.arange(1, min(count, len(self.places)) + 1))
        return np.asarray(self.places[found])


@dataclass(frozen=True, slots=True, eq=False)
class Search:
    """One zone's options: the piece, what each does to it, and the space of the target.

    ``shifts`` (n, 3) of each option from the finished piece, in the target's space; ``near`` finds
    those that may be laid on by their shift; ``limit`` in ΔE00; ``others`` are the target under further lights;
    ``way`` is the step (3,) from the target at which leaving it ends, and most of it that liquids may go.
    """

    piece: Piece
    options: Options
    response: OptionResponse
    frame: TargetFrame
    shifts: Array
    near: Neighbours
    doubt: ZoneDoubt
    limit: float
    others: tuple[TargetFrame, ...] = ()
    way: tuple[Array, float] | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Candidates:
    """Stacks as rows of option indices (r, L), their steps from the target (r, 3) and scores (r,)."""

    rows: Rows
    steps: Array
    scores: Array

    def take(self, places: Sequence[int] | Rows) -> Candidates:
        """Those at these places."""
        at = np.asarray(places, dtype=int)
        return Candidates(self.rows[at], self.steps[at], self.scores[at])


def shortlist(
    search: Search, layers: int, most: int, *, rescored: Callable[[Candidates], Candidates] | None = None
) -> Candidates:
    """The ``most`` likeliest stacks of up to so many layers, not all of the same stains.

    ``rescored`` gives them other scores, and drops those that may not be put on.
    """
    found = evaluate(search, search.near.places[:, None])
    every, below = [found], found
    for _ in range(1, layers if len(found.rows) else 1):
        below = _one_more(search, _bottoms(search.options, below))
        every.append(below)
    whole = _joined(every, layers)
    return _best(search.options, rescored(whole) if rescored is not None else whole, most)


def evaluate(search: Search, rows: Rows) -> Candidates:
    """Steps (r, 3) from the target and scores (r,) of stacks (r, L) of options, -1 for no layer."""
    after = search.response.after(search.piece, rows)
    steps, covariance = search.frame.steps(search.frame.lab(search.frame.ln_xyz(after))), search.doubt.of(rows)
    chance = chance_within(steps, covariance, search.limit)
    chance = in_all(chance, search.others, after, covariance, search.limit)
    scores = score(chance, steps, covariance, simplicity(search.options, rows))
    coats = np.where(rows >= 0, search.options.coats[rows], 0.0).sum(axis=1)
    return Candidates(rows, steps, np.where(coats <= search.options.in_all, scores, -np.inf))


def _bottoms(options: Options, found: Candidates) -> Candidates:
    """What further layers are sought for: the likeliest, and of one-layer stacks all of a single stain."""
    best = top(found.scores, BOTTOMS)
    if found.rows.shape[1] > 1:
        return found.take(best)
    single = np.flatnonzero(options.stains[found.rows[:, 0], 1] < 0)
    return found.take(np.union1d(best, single))


def _one_more(search: Search, below: Candidates) -> Candidates:
    """Stacks with one layer more: nearest partners, then again where these miss."""
    first = _laid(search, below.rows, search.near.nearest(-below.steps, NEIGHBOURS))
    best = _best_of_each(first, len(below.rows))
    again = best[top(first.scores[best], BOTTOMS // 2)]
    partners = search.shifts[first.rows[again, -1]]
    second = _laid(search, first.rows[again, :-1], search.near.nearest(partners - first.steps[again], NEIGHBOURS // 2))
    return _joined([first, second], first.rows.shape[1])


def _laid(search: Search, below: Rows, tops: Rows) -> Candidates:
    """All of ``below`` (r, L) with each of their own ``tops`` (r, t) on them."""
    rows = np.concatenate([np.repeat(below, tops.shape[1], axis=0), tops.reshape(-1, 1)], axis=1)
    return evaluate(search, rows)


def _best_of_each(found: Candidates, groups: int) -> Rows:
    scores = found.scores.reshape(groups, -1)
    return np.asarray(scores.argmax(axis=1) + np.arange(groups) * scores.shape[1])


def _joined(parts: Sequence[Candidates], layers: int) -> Candidates:
    """All parts, rows filled up with -1, each stack once."""
    rows = np.concatenate([_filled(part.rows, layers) for part in parts])
    steps, scores = np.concatenate([part.steps for part in parts]), np.concatenate([part.scores for part in parts])
    base = int(rows.max(initial=-1)) + 2
    _, first = np.unique((rows + 1) @ (base ** np.arange(layers)), return_index=True)
    return Candidates(rows, steps, scores).take(np.sort(first))


def _filled(rows: Rows, layers: int) -> Rows:
    return np.pad(rows, ((0, 0), (0, layers - rows.shape[1])), constant_values=-1)


def _best(options: Options, found: Candidates, most: int) -> Candidates:
    likely = found.take(top(found.scores, DEEP * most))
    likely = likely.take(np.flatnonzero(np.isfinite(likely.scores)))
    return likely.take(diverse(stain_sets(options, likely.rows), most, EACH))


def stain_sets(options: Options, rows: Rows) -> Rows:
    """(r,) one number for all stacks of the same stains, whatever their layers and shares."""
    width = options.stains.shape[1] * rows.shape[1]
    used = np.where(rows[..., None] >= 0, options.stains[rows], -1).reshape(len(rows), width)
    used = np.sort(used, axis=1)
    used[:, 1:][used[:, 1:] == used[:, :-1]] = -1
    return np.asarray(np.unique(np.sort(used, axis=1), axis=0, return_inverse=True)[1]).reshape(-1)
