"""What the steps of a whole piece are worth together, and the sweeps that settle them by it.

The chance of the case counts first, then its zones; each coat, drying and new mix costs a little, since the
last 0.3 ΔE00 is worth none of them; so does what is still missing where it jumps from a zone to the next, for
an arch must keep the gradient of its target.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from stainbook.match.choosing import Chain, StepsTaken, counts, pots_by_use, steps_of, within_order
from stainbook.match.moves import LATER, Field, Tried, all_accepted
from stainbook.match.one_piece import OnePiece
from stainbook.optics.two_by_two import Array
from stainbook.records import Pot

# In units of the case's chance:
PER_ZONE = 0.05  # one more zone in tolerance
NEW_MIX = 0.03  # weighing a mix that is not in stock, some three minutes
DRYING = 0.02  # drying the whole piece once more
COAT = 0.002  # a coat, and ...
LAYER = 0.004  # ... a further layer on a zone
PER_DIFFERENCE = COAT / 0.3  # one ΔE00 nearer on a zone
PER_JUMP = 0.002  # one ΔE00 by which what is still missing differs from a zone to the next
MINUTES_OF_A_MIX, MINUTES_OF_A_DRYING = 3.0, 9.0  # common practice: a drying of the whole piece takes 8 to 10
SWEEPS = 3
_LEAST = 1e-9


@dataclass(frozen=True, slots=True)
class Together:
    """Chance that all zones that stain can bring there are accepted, after this firing and within those left.

    ``expected`` is how many zones of all are expected in tolerance after this firing; ``fresh`` how many of the mixes
    do not stand ready, ``dryings`` how often the whole piece is dried between passes.
    """

    mixes: int
    accept: float
    accept_within: float
    expected: float = 0.0
    later: float = LATER
    fresh: int = 0
    dryings: int = 0

    @property
    def minutes(self) -> float:
        """At the bench, of weighing mixes and of drying between passes."""
        return MINUTES_OF_A_MIX * self.fresh + MINUTES_OF_A_DRYING * self.dryings

    @property
    def counts(self) -> float:
        """What they are worth together: accepted only after a further firing counts half."""
        return self.later * self.accept_within + (1.0 - self.later) * self.accept


def together(moves: Sequence[Tried], within_reach: Sequence[bool], stock: Collection[Pot] = ()) -> Together:
    """The chances of these steps together, and the number of their mixes.

    Parameters
    ----------
    moves : the step of each zone
    within_reach : of each zone, whether stain can bring it there; the others count in ``expected`` alone, and those
        whose number is a hint nowhere
    stock : mixes that stand ready

    >>> import numpy as np
    >>> from stainbook.colour import thresholds
    >>> from stainbook.match import Bench, Start, ZoneProblem, ready_case, tried_by_hand
    >>> from stainbook.match.settling import together
    >>> from stainbook.optics.curves import Optics
    >>> from stainbook.optics.film import Piece
    >>> from stainbook.records import Viewing
    >>> bench = Bench(Optics({}), ())
    >>> now = Start(Piece(np.full(31, 0.5), "glazed", 0.0, bench.optics.ceramic("zirconia")), "11 middle")
    >>> zone = ZoneProblem((11, "middle"), "tooth", now, (76.0, 0.0, 0.0), Viewing(), thresholds("tooth"))
    >>> _, as_it_is = tried_by_hand(bench, ready_case(bench, [zone]), {0: ()})[0]
    >>> together([as_it_is], [True])
    Together(mixes=0, accept=1.0, accept_within=1.0, expected=1.0, later=0.5, fresh=0, dryings=0)
    """
    counted = [move for move, reached in zip(moves, within_reach, strict=True) if reached and move.problem.counts]
    at_once, later = all_accepted([one.hits for one in counted]), all_accepted([one.within for one in counted])
    share = moves[0].later if moves else LATER
    pots, layers = pots_by_use(moves), max((len(move.layers) for move in moves), default=0)
    fresh, expected = sum(pot not in stock for pot in pots), in_tolerance(moves)
    return Together(len(pots), at_once, later, expected, share, fresh, max(layers - 1, 0))


def in_tolerance(moves: Sequence[Tried]) -> float:
    """How many of the zones that count are expected in tolerance.

    >>> in_tolerance([])
    0
    """
    return sum(move.in_the_end for move in moves if move.problem.counts)


def value(found: Together, moves: Sequence[Tried], jumps: float) -> float:
    """The worth of a painting, in units of the case's chance; ``jumps`` is ΔE00 over all pairs of neighbours."""
    effort = NEW_MIX * found.fresh + DRYING * found.dryings
    own = sum(_own(move) for move in moves if move.problem.counts)
    return found.counts + own - PER_JUMP * jumps - effort


def _own(move: Tried) -> float:
    """What the step of one zone is worth beside the case's chance."""
    coats = sum(layer.coats for layer in move.layers)
    effort = COAT * coats + LAYER * max(len(move.layers) - 1, 0)
    return PER_ZONE * counts(move) - PER_DIFFERENCE * move.dE00 - effort


def roughness(fields: Sequence[Field], piece: OnePiece, moves: Sequence[Tried]) -> float:
    """Mean ΔE00 by which the remaining way to the target differs from a zone to the next."""
    ends = [_missing(field, move) for field, move in zip(fields, moves, strict=True)]
    each = [float(np.linalg.norm(ends[i] - ends[j])) for i, j in piece.neighbours]
    return sum(each) / max(len(each), 1)


def _missing(field: Field, move: Tried) -> Array:
    """(3,) from the target to where a step ends, in the target's space."""
    return np.asarray((move.lab - field.frame.target) @ field.frame.of_lab)


def settled(
    fields: Sequence[Field],
    piece: OnePiece,
    chosen: StepsTaken,
    orders: Sequence[Chain | None],
    within_reach: Sequence[bool],
) -> StepsTaken:
    """The steps after sweeps over the piece, in which each group of twins takes the best step beside all others.

    Mixes, layers and the twins that go apart stay as they were chosen.

    Parameters
    ----------
    orders : the order of mixes of each kind; None where it is free
    """
    used = set(pots_by_use(chosen.moves))
    most = max((len(move.layers) for move in chosen.moves), default=0)
    sweep = _Sweep(fields, piece, list(chosen.moves), within_reach)
    groups = [
        (places, _some([fields[i] for i in places], order, most, used))
        for kind, order in zip(piece.kinds, orders, strict=True)
        for at in kind
        for places in ([(i,) for i in piece.twins[at]] if piece.twins[at][0] in chosen.apart else [piece.twins[at]])
    ]
    for _ in range(SWEEPS):
        changed = [sweep.takes_best(places, steps) for places, steps in groups]
        if not any(changed):
            break
    return StepsTaken(tuple(sweep.moves), chosen.apart)


def _some(fields: Sequence[Field], order: Chain | None, most: int, used: Collection[Pot]) -> list[tuple[Tried, ...]]:
    steps = steps_of(within_order(fields, order, most))
    return [step for step in steps if {layer.pot for layer in step[0].layers} <= set(used)]


class _Sweep:
    """The steps as they stand, with what each draw misses in all of them."""

    def __init__(
        self, fields: Sequence[Field], piece: OnePiece, moves: list[Tried], within_reach: Sequence[bool]
    ) -> None:
        self.fields, self.moves = fields, moves
        self.reached = [one and field.problem.counts for field, one in zip(fields, within_reach, strict=True)]
        self.beside: list[list[int]] = [[] for _ in fields]
        for i, j in piece.neighbours:
            self.beside[i].append(j)
            self.beside[j].append(i)
        self.missed, self.later = self._draws(range(len(moves)), moves)
        self.ends = [_missing(field, move) for field, move in zip(fields, moves, strict=True)]

    def takes_best(self, places: Sequence[int], steps: Sequence[tuple[Tried, ...]]) -> bool:
        """Take the best of some steps on these zones beside all others; whether that changes them."""
        now = tuple(self.moves[i] for i in places)
        own = self._draws(places, now)
        rest = self.missed - own[0], self.later - own[1]
        worth = [self._worth(places, step, rest) for step in steps]
        best = steps[int(np.argmax(worth))]
        if max(worth) <= self._worth(places, now, rest) + _LEAST:
            return False
        found = self._draws(places, best)
        self.missed, self.later = rest[0] + found[0], rest[1] + found[1]
        for i, move in zip(places, best, strict=True):
            self.moves[i], self.ends[i] = move, _missing(self.fields[i], move)
        return True

    def _draws(self, places: Sequence[int], moves: Sequence[Tried]) -> tuple[Array, Array]:
        """(draws,) how many of these zones miss, and ln of the chance that all are in tolerance within the firings."""
        counted = [move for i, move in zip(places, moves, strict=True) if self.reached[i]]
        missed, later = np.zeros(1), np.zeros(1)
        for move in counted:
            missed = missed + np.logical_not(move.hits)
            later = later + np.log(np.maximum(move.within, _LEAST))
        return missed, later

    def _worth(self, places: Sequence[int], step: Sequence[Tried], rest: tuple[Array, Array]) -> float:
        own = self._draws(places, step)
        accept = float((rest[0] + own[0] < 0.5).mean())
        within = float(np.exp(rest[1] + own[1]).mean())
        jumps = 0.0
        for i, move in zip(places, step, strict=True):
            end = _missing(self.fields[i], move)
            jumps += sum(float(np.linalg.norm(end - self.ends[j])) for j in self.beside[i] if j not in places)
        later = step[0].later
        return later * within + (1.0 - later) * accept + sum(map(_own, step)) - PER_JUMP * jumps
