"""Layers as painted, turned into the arrays that the film optics work on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stainbook.optics.two_by_two import Array
from stainbook.records import CLEAR, Layers


@dataclass(frozen=True, slots=True, eq=False)
class Stack:
    """``n`` stacks of layers, padded: which stains (n, m), their shares (n, L, m), coats and firings (n, L)."""

    stain: NDArray[np.int_]  # (n, m), index into the list of stains; padding repeats index 0 at share 0
    share: Array
    coats: Array
    firings: Array

    @property
    def layers(self) -> int:
        """The most layers of any stack."""
        return int(self.coats.shape[1])

    def take(self, rows: NDArray[np.int_]) -> Stack:
        """The stacks at these places."""
        return Stack(self.stain[rows], self.share[rows], self.coats[rows], self.firings[rows])


def stack_of(stacks: Sequence[Layers], names: Sequence[str]) -> Stack:
    """Arrays of many stacks of layers; the clear rest of a mix takes part when ``clear`` is among the names.

    Parameters
    ----------
    stacks : of each, its layers, bottom first
    names : stains that the result refers to by place

    Returns
    -------
    Stack : stain (n, m), share (n, L, m), coats and firings (n, L)

    Raises
    ------
    KeyError : for a stain that is not among ``names``

    >>> from stainbook.optics.stack import stack_of
    >>> from stainbook.records import Layer, Pot
    >>> stack = stack_of([(Layer(Pot.of({"husk": 0.25}), 2),)], ["husk"])
    >>> stack.share.tolist(), stack.coats.tolist()
    ([[[0.25]]], [[2.0]])
    """
    index = {name: i for i, name in enumerate(names)}
    rows = [[_shares(layer.pot.as_dict(), layer.pot.clear, index) for layer in layers] for layers in stacks]
    used = [sorted({i for layer in row for i in layer}) for row in rows]
    n, depth, width = len(stacks), max(map(len, rows), default=0), max(map(len, used), default=0)
    stain = np.zeros((n, width), dtype=int)
    share, coats, firings = np.zeros((n, depth, width)), np.zeros((n, depth)), np.ones((n, depth))
    for p, (layers, row, ids) in enumerate(zip(stacks, rows, used, strict=True)):
        stain[p, : len(ids)] = ids
        column = {i: c for c, i in enumerate(ids)}
        for q, (layer, shares) in enumerate(zip(layers, row, strict=True)):
            coats[p, q], firings[p, q] = layer.coats, layer.firings
            for i, value in shares.items():
                share[p, q, column[i]] = value
    return Stack(stain, share, coats, firings)


def _shares(shares: dict[str, float], rest: float, index: dict[str, int]) -> dict[int, float]:
    found = {index[name]: value for name, value in shares.items()}
    if rest > 1e-9 and CLEAR in index:
        found[index[CLEAR]] = rest
    return found
