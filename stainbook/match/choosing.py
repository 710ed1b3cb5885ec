"""Which of the steps that were tried a whole piece takes, zone by zone, twins together, gum of one kind alike.

For a whole case a zone's chance counts more finely than for itself: forty zones at 0.98 are all accepted
in 45 of 100 cases, at 0.995 in 82. So a zone takes the surest of its steps, where being accepted only
after another firing counts half, and gives little of that away for fewer layers and coats.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stainbook.match.moves import Field, Tried
from stainbook.match.one_piece import OnePiece
from stainbook.match.rank import effort
from stainbook.match.verdict import GOOD_ENOUGH
from stainbook.records import Layers, Pot

GIVEN_AWAY = 0.005  # chance that a zone gives away for fewer layers, mixes and coats
UNSEEN = 0.3  # expected ΔE00 that is worth no drying and no coat
NEEDED = 0.05  # chance that a step must bring to a zone that would do without
APART_PAYS = 0.05  # chance that each of twins must gain by layers of its own
LOST_CHANCE = 0.02  # of being accepted within the firings left, and ...
LOST_DIFFERENCE = 0.15  # ... expected ΔE00 that a step may lose against leaving the zone (law 5)

Chain = tuple[Pot, ...]  # mixes in the order of layers


@dataclass(frozen=True, slots=True, eq=False)
class StepsTaken:
    """The step of each zone, by its place, and the twins that take steps of their own since that pays."""

    moves: tuple[Tried, ...]
    apart: frozenset[int] = frozenset()


def counts(move: Tried) -> float:
    """The worth of a step to the case: acceptance only after a further firing counts half."""
    return move.counts


def no_worse(move: Tried, leave: Tried) -> bool:
    """Whether a step makes a zone no worse than leaving it, by chance and by expected ΔE00."""
    return move.accept_within >= leave.accept_within - LOST_CHANCE and move.dE00 <= leave.dE00 + LOST_DIFFERENCE


def surest(field: Field) -> Tried:
    """The step that a whole case takes on a zone by itself."""
    (move,) = _alike([field])
    return move


def taken(fields: Sequence[Field], piece: OnePiece, chains: Sequence[Sequence[Chain]], most: int) -> StepsTaken:
    """The steps of all zones of a piece.

    Parameters
    ----------
    chains : for each kind of the piece the orders of mixes that were tried on it; none where it is free
    most : layers on a zone
    """
    found: dict[int, Tried] = {}
    apart: set[int] = set()
    for kind, orders in zip(piece.kinds, chains, strict=True):
        groups = [piece.twins[at] for at in kind]
        for places, moves in zip(
            groups, _of_kind([[fields[i] for i in own] for own in groups], orders, most), strict=True
        ):
            found.update(zip(places, moves, strict=True))
            if len({move.layers for move in moves}) > 1:
                apart.update(places)
    return StepsTaken(tuple(found[i] for i in range(len(fields))), frozenset(apart))


def _of_kind(groups: Sequence[Sequence[Field]], chains: Sequence[Chain], most: int) -> list[list[Tried]]:
    """The steps of groups of twins that share one order of mixes: the shortest of those that serve about best."""
    if not chains:
        return [_twins(within_order(group, None, most)) for group in groups]
    tried = [[_twins(within_order(group, chain, most)) for group in groups] for chain in chains]
    worth = [sum(counts(move) for moves in one for move in moves) for one in tried]
    least = max(worth) - GIVEN_AWAY * sum(map(len, groups))
    return min(
        (len(chain), -value, i, one)
        for i, (chain, value, one) in enumerate(zip(chains, worth, tried, strict=True))
        if value >= least
    )[3]


def within_order(fields: Sequence[Field], chain: Chain | None, most: int) -> list[Field]:
    """The fields with those stacks alone that follow an order of mixes, and have no more layers than ``most``."""

    def fits(layers: Layers) -> bool:
        pots = tuple(layer.pot for layer in layers)
        return len(layers) <= most and (chain is None or pots == chain[: len(pots)])

    return [
        Field(one.problem, one.frame, one.leave, tuple(move for move in one.adds if fits(move.layers)))
        for one in fields
    ]


def _twins(fields: Sequence[Field]) -> list[Tried]:
    """The same layers on all, unless layers of its own bring each enough."""
    together = _alike(fields)
    if len(fields) == 1:
        return together
    alone = [_alike([field])[0] for field in fields]
    gain = sum(map(counts, alone)) - sum(map(counts, together))
    return alone if gain > APART_PAYS * len(fields) else together


def _alike(fields: Sequence[Field]) -> list[Tried]:
    """One and the same step on all; left as they are where they need nothing."""
    if all(_needs_nothing(field) for field in fields):
        return [field.leave for field in fields]
    best = min(_near_best(fields), key=_simplest)
    return list(best)


def _needs_nothing(field: Field) -> bool:
    most = max(counts(move) for move in field.all)
    return field.leave.accept >= GOOD_ENOUGH and counts(field.leave) >= most - NEEDED


def steps_of(fields: Sequence[Field]) -> list[tuple[Tried, ...]]:
    """The steps that were tried on each of these zones and make none of them worse."""
    tables = [{move.layers: move for move in field.all if no_worse(move, field.leave)} for field in fields]
    return [tuple(table[layers] for table in tables) for layers in tables[0] if all(layers in one for one in tables)]


def _near_best(fields: Sequence[Field]) -> list[tuple[Tried, ...]]:
    """The steps that are about as sure as the surest and end about as near."""
    steps = steps_of(fields)
    sure = [sum(map(counts, step)) for step in steps]
    near = [step for step, one in zip(steps, sure, strict=True) if one >= max(sure) - GIVEN_AWAY * len(fields)]
    lowest = min(map(_difference, near))
    return [step for step in near if _difference(step) <= lowest + UNSEEN]


def _difference(step: Sequence[Tried]) -> float:
    return sum(move.dE00 for move in step) / len(step)


def _simplest(step: tuple[Tried, ...]) -> tuple[object, ...]:
    layers = step[0].layers
    asked = effort(layers)
    mixes = tuple((layer.pot.shares, layer.coats) for layer in layers)
    return asked.layers, asked.coats, asked.pots, _difference(step), mixes


def pots_by_use(moves: Iterable[Tried]) -> tuple[Pot, ...]:
    """The mixes by the number of zones that they go on, most first."""
    used: dict[Pot, int] = {}
    for move in moves:
        for pot in {layer.pot for layer in move.layers}:
            used[pot] = used.get(pot, 0) + 1
    return tuple(sorted(used, key=lambda pot: (-used[pot], pot.shares)))
