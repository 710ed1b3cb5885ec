"""The order of moves: chance within the firings left, then firings, expected ΔE00, simplicity.

Ties are "within" a width, which is not transitive: 0.90 ties with 0.88 and 0.88 with 0.86. So the
order is made from the top. The best of what is left is found by a sieve: those within 0.02 of the
highest chance; of these those within 0.05 of the fewest firings; of these those within 0.15 of the
least expected ΔE00; of these the fewest layers, pots, coats; then the least ΔE00 and, to leave
nothing open, the layers themselves. It takes the next place, and the sieve runs again.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol, TypeVar

from stainbook.records import Layers

CHANCE_TIE = 0.02
FIRINGS_TIE = 0.05
DIFFERENCE_TIE = 0.15  # ΔE00
_ROUNDING = 1e-9


class Rankable(Protocol):
    """What a move must tell to be ranked."""

    @property
    def layers(self) -> Layers:
        """Bottom first."""

    @property
    def accept_within(self) -> float:
        """Chance of being accepted within the firings left."""

    @property
    def firings(self) -> float:
        """Expected number of firings."""

    @property
    def dE00(self) -> float:
        """Expected difference to the target."""


M = TypeVar("M", bound=Rankable)


@dataclass(frozen=True, slots=True, order=True)
class Effort:
    """Layers, pots and coats of a move: fewer is simpler."""

    layers: int
    pots: int
    coats: int


def effort(layers: Layers) -> Effort:
    """What a stack of layers asks of the hand."""
    return Effort(len(layers), len({layer.pot for layer in layers}), sum(layer.coats for layer in layers))


def first_of(moves: Sequence[M]) -> M:
    """The move that comes first; the order of ``moves`` does not matter."""
    left = _near(moves, lambda m: -m.accept_within, CHANCE_TIE)
    left = _near(left, lambda m: m.firings, FIRINGS_TIE)
    left = _near(left, lambda m: m.dE00, DIFFERENCE_TIE)
    return left[0] if len(left) == 1 else min(left, key=_last_resort)


def _last_resort(move: Rankable) -> tuple[object, ...]:
    mixes = tuple((layer.pot.shares, layer.coats) for layer in move.layers)
    return effort(move.layers), move.dE00, mixes, -move.accept_within


def ranked(moves: Sequence[M]) -> list[M]:
    """All moves in their order."""
    left, order = list(moves), []
    while left:
        first = first_of(left)
        order.append(first)
        left = [move for move in left if move is not first]
    return order


def _near(moves: Sequence[M], value: Callable[[M], float], width: float) -> list[M]:
    least = min(map(value, moves))
    return [move for move in moves if value(move) <= least + width + _ROUNDING]
