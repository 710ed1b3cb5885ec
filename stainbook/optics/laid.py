"""Layers laid on bodies: the reading after the furnace, and how it depends on each stain of each layer.

The one place that turns curves, shares, coats, firings, hands and jars into what a film absorbs and
scatters; chips, forecasts and outcomes all go through it. Layers act through the sums of what their
stains absorb and scatter, so a film is evaluated twice a layer, not three times a stain, and the chain
rule does the rest. ``n`` stacks, ``L`` layers (bottom first), ``m`` stains a stack, 31 wavelengths.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stainbook.optics.curves import EXPONENT, FADE, LN_K, LN_S
from stainbook.optics.film import Piece, Soak, coat_amount, reading_after, soaked_amount
from stainbook.optics.stack import Stack
from stainbook.optics.two_by_two import Array

STEP = 1e-3  # of an amount, relative, and of stray light: for difference quotients
_NOTHING = 1e-300  # keeps quotients finite where no liquid is
_CHUNK = 96  # stacks at a time: their arrays stay in the second-level cache


@dataclass(frozen=True, slots=True, eq=False)
class Slopes:
    """d ln reflectance by the ln of what each stain absorbs (or lets soak in) and scatters in each layer.

    ``depth`` is by the ln depth to which each liquid goes: it is what a liquid has for scattering, and no hand
    or jar moves it. ``power`` is how the ln amount of each stain grows with its exponent.
    """

    stack: Stack
    k: Array  # (n, L, m, 31)
    s: Array
    depth: Array  # (n, m, 31)
    power: Array  # (n, L, m)

    @property
    def amounts(self) -> Array:
        """(n, L, 31) by the ln amount of each layer."""
        return np.asarray((self.k + self.s).sum(axis=2))

    @property
    def strengths(self) -> Array:
        """(n, m, 31) by the ln amount of each stain."""
        return np.asarray((self.k + self.s).sum(axis=1))

    @property
    def absorbed(self) -> Array:
        """(n, m, 31) by ln K of each stain."""
        return np.asarray(self.k.sum(axis=1))

    @property
    def scattered(self) -> Array:
        """(n, m, 31) by ln S of each stain."""
        return np.asarray(self.s.sum(axis=1) + self.depth)

    @property
    def exponents(self) -> Array:
        """(n, m, 31) by each stain's exponent."""
        return np.asarray(((self.k + self.s) * self.power[..., None]).sum(axis=1))

    @property
    def fades(self) -> Array:
        """(n, m, 31) by each stain's ln fade; only what absorbs fades."""
        again = np.maximum(self.stack.firings - 1.0, 0.0)
        return np.asarray((self.k * again[..., None, None]).sum(axis=1))


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """Stacks on bodies of one ceramic and surface: what each stain absorbs, scatters or lets soak in, (n, L, m, 31).

    ``depths`` (n, m, 31) is how deep each liquid goes, ``power`` (n, L, m) as in `Slopes`.
    """

    piece: Piece
    stack: Stack
    glazed: bool
    k: Array
    s: Array
    power: Array
    soaked: Array | None = None
    depths: Array | None = None

    @classmethod
    def of(
        cls,
        piece: Piece,
        stack: Stack,
        means: Array,
        soaks: NDArray[np.bool_],
        *,
        ln_amount: Array | float = 0.0,
        ln_lots: Array | float = 0.0,
        glazed: bool = True,
    ) -> Laid:
        """Stacks as painted.

        Parameters
        ----------
        piece : readings (n, 31) or (31,), stray light a number or (n, 1)
        means : (stains, 64) as `StainCurve.mean`; stacks index it
        soaks : (stains,) those that go into the piece; the clear rest of a mix that holds one is no glaze
        ln_amount : (n, L) or less: ln of the amount put on over the amount meant
        ln_lots : (n, m) or less: ln of each jar's strength over that of the stripes' jar
        glazed : the piece ends under glass; without it a bare piece without layers stays bare
        """
        n, depth, width = stack.share.shape
        if not width:
            none = np.zeros((n, depth, 0, len(piece.reading.T)))
            return cls(piece, stack, glazed, none, none, none[..., 0])
        own = means[stack.stain]  # (n, m, 64)
        amount, power = _amounts(stack, own[:, None, :, EXPONENT], soaks[stack.stain])
        hand = np.broadcast_to(ln_amount, (n, depth))[..., None]
        amount = amount * np.exp(hand + np.broadcast_to(ln_lots, (n, width))[:, None])
        again = np.maximum(stack.firings - 1.0, 0.0)[..., None]
        coloured = (amount * np.exp(again * own[:, None, :, FADE]))[..., None]
        k, s = coloured * np.exp(own[:, None, :, LN_K]), amount[..., None] * np.exp(own[:, None, :, LN_S])
        soaking = soaks[stack.stain][:, None, :, None]
        if not soaking.any():
            return cls(piece, stack, glazed, k, s, power)
        liquid = ((stack.share[..., None] > 0.0) & soaking).any(axis=2, keepdims=True)
        lying = ~soaking & ~liquid
        return cls(piece, stack, glazed, k * lying, s * lying, power, k * soaking, np.exp(own[..., LN_S]))

    @property
    def lies(self) -> bool:
        """True where something lies on a piece as a layer."""
        return bool(self.k.any() or self.s.any())

    @property
    def soak(self) -> Soak | None:
        """The change that all liquids together made in the pieces: each band as deep as the liquids that colour it."""
        if self.soaked is None or self.depths is None:
            return None
        each = self.soaked.sum(axis=1)
        growth = each.sum(axis=1)
        weight = np.maximum(each, _NOTHING)
        return Soak(growth, (weight * self.depths).sum(axis=1) / weight.sum(axis=1))

    def without_layers(self) -> Laid:
        """The pieces after the same finish alone."""
        stack = Stack(self.stack.stain, self.stack.share[:, :0], self.stack.coats[:, :0], self.stack.firings[:, :0])
        return Laid(self.piece, stack, self.glazed, self.k[:, :0], self.s[:, :0], self.power[:, :0])

    def ln_after(
        self, *, layer: int | None = None, of: str = "", step: float = STEP, stray: Array | float = 0.0
    ) -> Array:
        """(n, 31) ln reflectance; one layer's ``k`` or ``s``, a field of the `Soak`, or stray light (n, 1) moved."""
        k, s, soaked = self.k.sum(axis=2), self.s.sum(axis=2), self.soak
        if soaked is not None and of in Soak._fields:
            soaked = soaked._replace(**{of: getattr(soaked, of) * (1.0 + step)})
        elif of:
            (k if of == "k" else s)[:, layer] *= 1.0 + step
        if not self.lies:
            k, s = k[:, :0], s[:, :0]
        n = len(k)
        readings = np.broadcast_to(self.piece.reading, (n, k.shape[2]))
        moved = np.broadcast_to(self.piece.stray + stray, (n, 1))
        out = np.empty(readings.shape)
        for start in range(0, n, _CHUNK):
            at = slice(start, start + _CHUNK)
            piece = Piece(readings[at], self.piece.surface, moved[at], self.piece.ceramic)
            own = None if soaked is None else Soak(soaked.growth[at], soaked.depth[at])
            layers = np.moveaxis(k[at], 1, 0), np.moveaxis(s[at], 1, 0)
            out[at] = reading_after(piece, *layers, soaked=own, glazed=self.glazed)
        return np.asarray(np.log(out))

    def slopes(self, base: Array, *, step: float = STEP) -> Slopes:
        """How the reading depends on each stain of each layer; ``base`` (n, 31) is `ln_after`.

        Cost: two evaluations of the film a layer, and two more where stains soak in.
        """
        k, s = np.zeros_like(self.k), np.zeros_like(self.s)
        for layer in range(self.stack.layers if self.lies else 0):
            for part, of, out in ((self.k, "k", k), (self.s, "s", s)):
                slope = (self.ln_after(layer=layer, of=of, step=step) - base) / step
                total = np.maximum(part[:, layer].sum(axis=1, keepdims=True), 1e-300)
                out[:, layer] = slope[:, None] * part[:, layer] / total
        depth = np.zeros(self.k.shape[:1] + self.k.shape[2:])
        soak = self.soak
        if self.soaked is not None and self.depths is not None and soak is not None:
            growth, deeper = ((self.ln_after(of=of, step=step) - base) / step for of in Soak._fields)
            parts = self.soaked / np.maximum(soak.growth, _NOTHING)[:, None, None]
            reach = self.depths / soak.depth[:, None]  # of each liquid over that of all
            k = k + (growth[:, None] + deeper[:, None] * (reach - 1.0))[:, None] * parts
            depth = deeper[:, None] * reach * parts.sum(axis=1)
        return Slopes(self.stack, k, s, depth, self.power)

    def by_stray(self, reach: Array | float) -> Array:
        """(n, 31) d ln reflectance by stray light: the chord over ``reach``; on a dark piece it is no small part."""
        reach = np.maximum(reach, STEP)
        return np.asarray((self.ln_after(stray=reach) - self.ln_after(stray=-reach)) / (2.0 * reach))


def _amounts(stack: Stack, exponent: Array, soaks: NDArray[np.bool_]) -> tuple[Array, Array]:
    """Coats at full share (n, L, m) of each stain, and the slope of their ln by the exponent (n, 1, m).

    soaks : (n, m)
    """
    coats = stack.coats[..., None]
    amount = coat_amount(stack.share, coats, exponent)
    power = np.log(np.where(stack.share > 0.0, stack.share, 1.0))
    if not soaks.any():
        return amount, power
    dose = stack.share * coats * soaks[:, None]
    whole = dose.sum(axis=(1, 2), keepdims=True)
    filled = np.log(np.where(whole > 0.0, whole, 1.0))
    liquid = soaks[:, None]
    return np.where(liquid, soaked_amount(dose, whole, exponent), amount), np.where(liquid, filled, power)
