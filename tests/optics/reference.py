"""Streams of any number, by matrix exponential and by doubling: slow, plain, apart from the product's algebra."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.linalg import expm

from stainbook.optics.streams import BACKWARD, GLASS


@dataclass(frozen=True)
class Streams:
    """Mean cosines and shares of solid angle of a half-space's streams; what share of scattered light turns back."""

    mu: tuple[float, ...]
    solid: tuple[float, ...]
    backward: float

    @property
    def count(self):
        return len(self.mu)


FOUR = Streams(GLASS.mu, GLASS.solid, BACKWARD)


def equations(K, S, streams):
    """The matrices A and B of f' = -A f + B g, g' = A g - B f."""
    loss = np.diag((K + S) / np.array(streams.mu))
    gain = S * np.outer(streams.solid, 1.0 / np.array(streams.mu))
    return loss - (1.0 - streams.backward) * gain, streams.backward * gain


def slab_by_exponential(K, S, streams=FOUR):
    """R and T (m, m) of one slab, by the exponential of its transfer matrix; for slabs that are not too thick."""
    A, B = equations(K, S, streams)
    m = streams.count
    E = expm(np.block([[-A, B], [-B, A]]))
    R = -np.linalg.solve(E[m:, m:], E[m:, :m])
    return R, E[:m, :m] + E[:m, m:] @ R


def slab_by_doubling(K, S, streams=FOUR, *, thinnest=0.01):
    """R and T (..., m, m) of slabs, doubled from one of this optical depth."""
    K, S = np.broadcast_arrays(np.asarray(K, dtype=float), np.asarray(S, dtype=float))
    deepest = float((K + S).max(initial=0.0)) / min(streams.mu)
    doublings = max(0, int(np.ceil(np.log2(max(deepest, 1e-12) / thinnest))))
    R, T = _thin(K / 2**doublings, S / 2**doublings, streams)
    unit = np.eye(streams.count)
    for _ in range(doublings):
        between = np.linalg.solve(unit - R @ R, T)
        R, T = R + T @ R @ between, T @ between
    return R, T


def _thin(K, S, streams):
    """Diamond rule: lossless without absorption, an error of the third order in the depth."""
    loss = ((K + S)[..., None] / np.array(streams.mu))[..., None, :] * np.eye(streams.count)
    gain = S[..., None, None] * np.outer(streams.solid, 1.0 / np.array(streams.mu))
    A, B, unit = loss - (1.0 - streams.backward) * gain, streams.backward * gain, np.eye(streams.count)
    even = np.linalg.solve(unit + (A - B) / 2, unit - (A - B) / 2)
    odd = np.linalg.solve(unit + (A + B) / 2, unit - (A + B) / 2)
    return (even - odd) / 2, (even + odd) / 2


def lay_on(R, T, base):
    """What a slab on a base sends back, as matrices (..., m, m)."""
    return R + T @ base @ np.linalg.solve(np.eye(R.shape[-1]) - R @ base, T)


def as_arrays(matrix):
    """The product's four elements as (..., 2, 2)."""
    a, b, c, d = np.broadcast_arrays(*matrix)
    return np.stack([np.stack([a, b], axis=-1), np.stack([c, d], axis=-1)], axis=-2)
