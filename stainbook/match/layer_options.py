"""Everything that one layer can be: each pot of one or two stains, each number of coats."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations, product

import numpy as np
from numpy.typing import NDArray

from stainbook.optics.two_by_two import Array
from stainbook.records import Layer, Layers, Pot

FULL = 1.0 + 1e-9  # shares of a pot sum to at most 1
ENDLESS = 99  # coats of a zone that no limit holds back


@dataclass(frozen=True, eq=False)
class Options:
    """``n`` layers: pots with coats (n,), and the stains (n, s) by index into ``names``, -1 for none.

    ``in_all`` is the most coats that a stack of them may have.
    """

    layers: tuple[Layer, ...]
    coats: Array
    stains: NDArray[np.int_]
    names: tuple[str, ...]
    in_all: int = ENDLESS

    def __len__(self) -> int:
        return len(self.layers)

    @cached_property
    def of_pot(self) -> dict[Pot, list[int]]:
        """The layers of each mix, by index."""
        found: dict[Pot, list[int]] = {}
        for i, layer in enumerate(self.layers):
            found.setdefault(layer.pot, []).append(i)
        return found

    def stack(self, row: NDArray[np.int_]) -> Layers:
        """The layers, bottom first, that a row of indices stands for; -1 is no layer."""
        return tuple(self.layers[i] for i in row if i >= 0)

    def allowed(self, forbidden: Sequence[str]) -> NDArray[np.bool_]:
        """(n,) True where no forbidden stain is in the mix."""
        barred = set(forbidden)
        out = np.isin(self.stains, [i for i, name in enumerate(self.names) if name in barred])
        return np.asarray(~out.any(axis=1))


def pots_of(
    stains: Sequence[str], strengths: Sequence[float], apart: Collection[frozenset[str]] = frozenset()
) -> Iterator[Pot]:
    """Mixes of one stain, then mixes of two, whose shares are among the strengths and sum to at most 1.

    ``apart`` : pairs of stains that no mix may hold.
    """
    for name, share in product(stains, strengths):
        yield Pot.of({name: share})
    pairs = [(one, other) for one, other in combinations(stains, 2) if frozenset((one, other)) not in apart]
    for (one, other), (share, rest) in product(pairs, product(strengths, repeat=2)):
        if share + rest <= FULL:
            yield Pot.of({one: share, other: rest})


def options_of(pots: Sequence[Pot], coats: int, *, in_all: int = ENDLESS) -> Options:
    """Each mix in 1 to ``coats`` coats; a stack of them has ``in_all`` coats at most."""
    names = tuple(sorted({name for pot in pots for name in pot.stains}))
    place = {name: i for i, name in enumerate(names)}
    layers = tuple(Layer(pot, count) for pot in pots for count in range(1, min(coats, in_all) + 1))
    stains = np.full((len(layers), max([2, *(len(pot.shares) for pot in pots)])), -1)
    for row, layer in zip(stains, layers, strict=True):
        row[: len(layer.pot.shares)] = [place[name] for name in layer.pot.stains]
    return Options(layers, np.array([float(layer.coats) for layer in layers]), stains, names, in_all)


def pots_used(moves: Sequence[Sequence[Pot]]) -> tuple[Pot, ...]:
    """The mixes of several steps, each once, in order of their shares."""
    return tuple(sorted({pot for pots in moves for pot in pots}, key=lambda pot: pot.shares))
