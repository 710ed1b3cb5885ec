"""Adding-doubling radiative transfer in plane-parallel layers, vectorised over wavelengths and pieces.

Light is azimuthally averaged and held as the power of a few streams in each hemisphere. The streams of
all media are nested: those of a denser medium are the refracted streams of the rarer one and, in
addition, the streams beyond the critical angle, so that Fresnel interfaces are diagonal and exact.
Operators act on columns of stream power, hence a lossless one has column sums of one.

References
----------
van de Hulst HC. Multiple Light Scattering, 1980 (adding, doubling).
Prahl SA. The adding-doubling method, in Optical-Thermal Response of Laser-Irradiated Tissue, 1995.
Wiscombe WJ. The delta-M method. J Atmos Sci 1977;34:1408-22.
Grant IP, Hunt GE. Discrete space theory of radiative transfer. Proc R Soc A 1969;313:183-97 (diamond start).
All from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.polynomial.legendre import leggauss, legval, legvander
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

FIRST_STEP = 0.5  # optical depth of the first slab, in units of the flattest stream's cosine


@dataclass(frozen=True)
class Streams:
    """The streams of one hemisphere in one medium: cosines and weights, flattest first, the last normal."""

    index: float
    mu: Array
    weight: Array

    def __len__(self) -> int:
        return len(self.mu)

    @property
    def lambert(self) -> Array:
        """Share of the power of perfectly diffuse light in each stream; sums to one."""
        power = self.mu * self.weight
        return np.asarray(power / power.sum())


class Slab(NamedTuple):
    """What a slab or an interface does to stream powers coming from above (down) and below (up)."""

    reflect_down: Array
    transmit_down: Array
    reflect_up: Array
    transmit_up: Array


# ---------------------------------------------------------------- streams


def radau(count: int) -> tuple[Array, Array]:
    """Nodes and weights on [-1, 1] with the end point +1 included (Gauss-Radau)."""
    if count == 1:
        return np.array([1.0]), np.array([2.0])
    # Inner nodes: roots of (P[n-1] - P[n]) / (1 - x), the mirror of the usual left-ended rule.
    series = np.zeros(count + 1)
    series[count - 1], series[count] = 1.0, -1.0
    nodes = np.sort(np.polynomial.legendre.legroots(series).real)
    nodes[-1] = 1.0
    weights = (1.0 + nodes) / (count * legval(nodes, np.eye(count)[count - 1])) ** 2
    return nodes, weights


def nested_streams(indices: Sequence[float], counts: Sequence[int]) -> tuple[Streams, ...]:
    """Streams for media of rising index (the first is the outside); ``counts`` adds streams per medium."""
    nodes, weights = radau(counts[0])
    media = [Streams(indices[0], (nodes + 1) / 2, weights / 2)]
    for index, count in zip(indices[1:], counts[1:], strict=True):
        media.append(_denser(media[-1], index, count))
    return tuple(media)


def _denser(rarer: Streams, index: float, count: int) -> Streams:
    ratio = rarer.index / index
    mu = np.sqrt(1 - ratio**2 * (1 - rarer.mu**2))
    weight = rarer.weight * ratio**2 * rarer.mu / mu  # mu dmu n^2 is conserved by refraction
    if ratio == 1.0 or count == 0:
        return Streams(index, mu, weight)
    critical = np.sqrt(1 - ratio**2)
    nodes, weights = leggauss(count)
    flat, flat_weight = (nodes + 1) / 2 * critical, weights / 2 * critical
    return Streams(index, np.concatenate([flat, mu]), np.concatenate([flat_weight, weight]))


# ---------------------------------------------------------------- scattering


def _phase(streams: Streams, g: Array, order: int) -> tuple[Array, Array]:
    """Henyey-Greenstein redistribution of power, forward and backward, (..., N, N), lossless."""
    moments = np.arange(order)
    cut = g[..., None] ** order
    chi = (2 * moments + 1) * (g[..., None] ** moments - cut) / (1 - cut)
    basis = legvander(streams.mu, order - 1)
    products = np.einsum("il,jl->lij", basis, basis).reshape(order, -1)
    size = len(streams)
    half = 0.5 * streams.weight[:, None]
    forward = (chi @ products).reshape(*g.shape, size, size) * half
    backward = (chi * (-1.0) ** moments @ products).reshape(*g.shape, size, size) * half
    lost = 1 - (forward + backward).sum(axis=-2)
    return forward + lost[..., None, :] * np.eye(size), backward


def slab(depth: ArrayLike, albedo: ArrayLike, g: ArrayLike, streams: Streams) -> Slab:
    """Operators of homogeneous slabs: optical depth, single-scattering albedo and anisotropy of shape (...)."""
    depth, albedo, g = (np.asarray(x, dtype=float) for x in np.broadcast_arrays(depth, albedo, g))
    order = len(streams)
    cut = g**order  # delta-M: the forward peak counts as unscattered
    scaled_depth = depth * (1 - albedo * cut)
    scaled_albedo = albedo * (1 - cut) / (1 - albedo * cut)
    thickest = float(scaled_depth.max(initial=0.0))
    doublings = max(0, int(np.ceil(np.log2(max(thickest, 1e-12) / (FIRST_STEP * streams.mu[0])))))
    reflect, transmit = _first_step(scaled_depth / 2**doublings, scaled_albedo, g, streams, order)
    for _ in range(doublings):
        reflect, transmit = _double(reflect, transmit)
    return Slab(reflect, transmit, reflect, transmit)


def _first_step(depth: Array, albedo: Array, g: Array, streams: Streams, order: int) -> tuple[Array, Array]:
    """Diamond start: exact to second order, lossless when the albedo is one."""
    forward, backward = _phase(streams, g, order)
    unit = np.eye(len(streams))
    half = (0.5 * depth)[..., None, None] / streams.mu
    loss = (unit - albedo[..., None, None] * forward) * half
    gain = albedo[..., None, None] * backward * half
    even = np.linalg.solve(unit + loss - gain, unit - loss + gain)  # T + R
    odd = np.linalg.solve(unit + loss + gain, unit - loss - gain)  # T - R
    return (even - odd) / 2, (even + odd) / 2


def _double(reflect: Array, transmit: Array) -> tuple[Array, Array]:
    unit = np.eye(reflect.shape[-1])
    between = np.linalg.solve(unit - reflect @ reflect, transmit)
    return reflect + transmit @ reflect @ between, transmit @ between


# ---------------------------------------------------------------- interfaces


def fresnel(mu: ArrayLike, ratio: float) -> Array:
    """Unpolarised Fresnel reflectance for a cosine in medium 1 and ``ratio`` = n2/n1."""
    mu = np.asarray(mu, dtype=float)
    inside = 1 - (1 - mu**2) / ratio**2
    other = np.sqrt(np.maximum(inside, 0.0))
    across = (mu - ratio * other) / (mu + ratio * other)
    along = (ratio * mu - other) / (ratio * mu + other)
    return np.where(inside <= 0, 1.0, (across**2 + along**2) / 2)


def diffuse_fresnel(ratio: float, points: int = 64) -> float:
    """Reflectance of the interface for perfectly diffuse light from the rarer side."""
    nodes, weights = leggauss(points)
    mu = (nodes + 1) / 2
    return float(np.sum(weights * mu * fresnel(mu, ratio)))


def interface(above: Streams, below: Streams, *, rough: float = 0.0) -> Slab:
    """Operators from a rarer medium above into a denser one below; ``rough`` is the share that diffuses."""
    smooth = _smooth_interface(above, below)
    if rough == 0.0:
        return smooth
    diffuse = _diffusing_interface(above, below)
    return Slab(*((1 - rough) * one + rough * other for one, other in zip(smooth, diffuse, strict=True)))


def _smooth_interface(above: Streams, below: Streams) -> Slab:
    hidden = len(below) - len(above)  # streams beyond the critical angle come first
    reflect = fresnel(above.mu, below.index / above.index)
    pass_down = np.vstack([np.zeros((hidden, len(above))), np.diag(1 - reflect)])
    return Slab(np.diag(reflect), pass_down, np.diag(np.concatenate([np.ones(hidden), reflect])), pass_down.T)


def _diffusing_interface(above: Streams, below: Streams) -> Slab:
    ratio = below.index / above.index
    outer = diffuse_fresnel(ratio)
    inner = 1 - (1 - outer) / ratio**2  # reciprocity for diffuse light
    into, out = below.lambert[:, None], above.lambert[:, None]
    ones_above, ones_below = np.ones((1, len(above))), np.ones((1, len(below)))
    return Slab(
        outer * out * ones_above,
        (1 - outer) * into * ones_above,
        inner * into * ones_below,
        (1 - inner) * out * ones_below,
    )


# ---------------------------------------------------------------- adding and reading


def add(upper: Slab, lower: Slab) -> Slab:
    """One slab from two in contact."""
    unit = np.eye(upper.reflect_up.shape[-1])
    down = np.linalg.solve(unit - upper.reflect_up @ lower.reflect_down, upper.transmit_down)
    up = np.linalg.solve(unit - lower.reflect_down @ upper.reflect_up, lower.transmit_up)
    return Slab(
        upper.reflect_down + upper.transmit_up @ lower.reflect_down @ down,
        lower.transmit_down @ down,
        lower.reflect_up + lower.transmit_down @ upper.reflect_up @ up,
        upper.transmit_up @ up,
    )


def cover(upper: Slab, below: Array) -> Array:
    """Reflection operator (..., N, N) of a slab on top of something that reflects ``below``."""
    unit = np.eye(upper.reflect_up.shape[-1])
    down = np.linalg.solve(unit - upper.reflect_up @ below, upper.transmit_down)
    return upper.reflect_down + upper.transmit_up @ below @ down


def backing(reflectance: ArrayLike, streams: Streams) -> Array:
    """Reflection operator of a perfectly diffusing backing of the given reflectance (...)."""
    return np.asarray(reflectance, dtype=float)[..., None, None] * np.outer(streams.lambert, np.ones(len(streams)))


def sphere_reading(surface: Slab, below: Array, *, surface_seen: float = 0.0) -> Array:
    """Near-normal:diffuse reflectance (...) with the mirror reflection excluded.

    The beam falls on the normal stream; 8 degrees outside are 5 inside and change nothing that is read here.
    ``surface_seen`` is the share of the surface's own reflection that a rough surface throws past the trap.
    """
    unit = np.eye(below.shape[-1])
    entering = surface.transmit_down[:, -1]
    inside = np.linalg.solve(unit - below @ surface.reflect_up, (below @ entering)[..., None])[..., 0]
    leaving = (surface.transmit_up @ inside[..., None])[..., 0].sum(axis=-1)
    return np.asarray(leaving + surface_seen * surface.reflect_down[:, -1].sum())


def annular_reading(surface: Slab, below: Array, outside: Streams) -> Array:
    """45:0 reflectance factor (...) of what leaves the piece: light at 45 degrees, looked at from above.

    Streams are not at 45 degrees, so the reading is interpolated over the outside streams in their cosine.
    """
    full = cover(surface, below)
    own = full - surface.reflect_down  # without the first reflection at the surface
    row = own[..., -1, :] / (2 * outside.mu[-1] * outside.weight[-1])  # radiance factor seen at the normal
    return np.asarray(row @ _lagrange(outside.mu, float(np.sqrt(0.5))))


def _lagrange(nodes: Array, at: float) -> Array:
    return np.array([np.prod([(at - m) / (n - m) for m in nodes if m != n]) for n in nodes])
