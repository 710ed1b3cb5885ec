"""Layers as painted, turned into the arrays that the film optics work on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stainbook.optics.film import Piece, coat_amount, reading_after
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
    """Arrays of many stacks of layers; the clear rest of a pot takes part when ``clear`` is among the names.

    Raises
    ------
    KeyError : for a stain that is not among ``names``
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


def ln_after(
    piece: Piece,
    stack: Stack,
    *,
    K: Array,
    S: Array,
    exponent: Array,
    ln_fade: Array,
    soaks: NDArray[np.bool_],
    ln_hand: Array | float = 0.0,
    glazed: bool = True,
) -> Array:
    """ln of the reflectance (n, 31) after firing.

    Parameters
    ----------
    K, S : (n, m, 31) of one coat at full share, for the stains of each stack
    exponent, ln_fade : (n, m)
    soaks : (n, m) bool, stains that go into the body
    ln_hand : (n, L) ln of the amount put on over the amount meant
    """
    amount = coat_amount(stack.share, stack.coats[..., None], exponent[:, None, :])
    amount = amount * np.exp(np.broadcast_to(ln_hand, stack.coats.shape))[..., None]
    coloured = amount * np.exp(np.maximum(stack.firings[..., None] - 1.0, 0.0) * ln_fade[:, None, :])
    liquid = (stack.share * soaks[:, None, :]).any(axis=-1, keepdims=True)  # the rest of such a pot is no glaze
    lying = ~soaks[:, None, :] & ~liquid
    k = np.einsum("nlm,nmw->lnw", coloured * lying, K)
    s = np.einsum("nlm,nmw->lnw", amount * lying, S)
    soaked = np.einsum("nlm,nmw->nw", coloured * soaks[:, None, :], K) if soaks.any() else None
    if not glazed and not np.any(amount * lying):
        k, s = k[:0], s[:0]
    return np.asarray(np.log(reading_after(piece, k, s, soaked=soaked, glazed=glazed)))
