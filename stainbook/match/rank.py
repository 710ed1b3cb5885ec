"""The order of moves: chance within the firings left, then firings, expected ΔE00, simplicity.

Ties are "within" a width, which is not transitive: 0.90 ties with 0.88 and 0.88 with 0.86. So the
order is made from the top. The best of what is left is found by a sieve: those within 0.02 of the
highest chance; of these those within 0.05 of the fewest firings; of these those within 0.15 of the
least expected ΔE00; of these the fewest layers, pots, coats; then the least ΔE00 and, to leave
nothing open, the layers themselves. It takes the next place, and the sieve runs again.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple, Protocol, TypeVar

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
        """Chance of being accepted within the firings that remain."""

    @property
    def firings(self) -> float:
        """Expected number of firings."""

    @property
    def dE00(self) -> float:
        """Expected difference to the target."""


M = TypeVar("M", bound=Rankable)
_Key = tuple[object, ...]


class Effort(NamedTuple):
    """Layers, pots and coats of a move: fewer is simpler."""

    layers: int
    pots: int
    coats: int


def effort(layers: Layers) -> Effort:
    """Layers, mixes and coats that a stack of layers asks of the hand.

    >>> from stainbook.match.rank import effort
    >>> from stainbook.records import Layer, Pot
    >>> effort((Layer(Pot.of({"husk": 0.25}), 2),))
    Effort(layers=1, pots=1, coats=2)
    """
    return Effort(len(layers), len({layer.pot for layer in layers}), sum(layer.coats for layer in layers))


def first_of(moves: Sequence[M]) -> M:
    """The step that comes first; the order of ``moves`` does not matter."""
    return _sieved([(move, _last_resort(move)) for move in moves])[0]


def ranked(moves: Sequence[M]) -> list[M]:
    """All steps in their order: chance, firings, expected ΔE00, effort."""
    left, order = [(move, _last_resort(move)) for move in moves], []
    while left:
        first = _sieved(left)
        order.append(first[0])
        left.remove(first)
    return order


def _sieved(moves: Sequence[tuple[M, _Key]]) -> tuple[M, _Key]:
    """The first of moves that come with what decides when all else ties."""
    left = _near(moves, [-move.accept_within for move, _ in moves], CHANCE_TIE)
    left = _near(left, [move.firings for move, _ in left], FIRINGS_TIE)
    left = _near(left, [move.dE00 for move, _ in left], DIFFERENCE_TIE)
    return min(left, key=lambda one: one[1])


def _near(moves: Sequence[tuple[M, _Key]], values: Sequence[float], width: float) -> Sequence[tuple[M, _Key]]:
    most = min(values) + width + _ROUNDING
    return [one for one, value in zip(moves, values, strict=True) if value <= most]


def _last_resort(move: Rankable) -> _Key:
    mixes = tuple((layer.pot.shares, layer.coats) for layer in move.layers)
    return effort(move.layers), move.dE00, mixes, -move.accept_within
