"""Zones that were fired, and the film on them with one number moved at a time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from stainbook.optics.ceramic import Ceramic
from stainbook.optics.curves import EXPONENT, FADE, LN_K, LN_S
from stainbook.optics.film import Piece
from stainbook.optics.stack import Stack, ln_after
from stainbook.optics.two_by_two import Array
from stainbook.records import Layers

_STEP = 1e-3


@dataclass(frozen=True, slots=True, eq=False)
class Fired:
    """One zone that was fired: where it was, what was laid on, what came out.

    ``covariance`` (31, 31) of ln reflectance holds the noise of both readings; ``lots`` the jars used
    where they are not those of the chips; ``firing`` names what went through the furnace together.
    """

    key: str
    reading: Array
    surface: str | None
    ceramic: Ceramic
    layers: Layers
    after: Array
    covariance: Array
    material: str | None = None
    operator: str | None = None
    programme: str | None = None
    lots: Mapping[str, str] = field(default_factory=dict)
    firing: str = ""
    glazed: bool = True


@dataclass(slots=True, eq=False)
class FiredFilm:
    """ln reflectance of alike outcomes, with one number moved at a time."""

    outcomes: Sequence[Fired]
    stack: Stack
    own: Array
    hand: Array
    soaking: NDArray[np.bool_]
    stray: Array

    def __call__(
        self,
        *,
        column: int | None = None,
        part: slice | int | None = None,
        layer: int | None = None,
        stray: float = 0.0,
    ) -> Array:
        """(n, 31) with one number moved by a small step: of a column of stains, of a layer's amount, stray light."""
        own, hand = self.own, self.hand
        if column is not None:
            own = own.copy()
            own[:, column, part] += _STEP
        if layer is not None:
            hand = hand.copy()
            hand[:, layer] += _STEP
        return self._of(self._bodies(stray), self.stack, own, hand)

    def without_layers(self) -> Array:
        """The bodies after the same finish alone."""
        empty = Stack(self.stack.stain, self.stack.share[:, :0], self.stack.coats[:, :0], self.stack.firings[:, :0])
        return self._of(self._bodies(0.0), empty, self.own, self.hand[:, :0])

    def _bodies(self, more_stray: float) -> Piece:
        first = self.outcomes[0]
        readings = np.array([one.reading for one in self.outcomes])
        return Piece(readings, first.surface, self.stray + more_stray, first.ceramic)

    def _of(self, piece: Piece, stack: Stack, own: Array, hand: Array) -> Array:
        return ln_after(
            piece,
            stack,
            K=np.exp(own[..., LN_K]),
            S=np.exp(own[..., LN_S]),
            exponent=own[..., EXPONENT],
            ln_fade=own[..., FADE],
            soaks=self.soaking[stack.stain],
            ln_hand=hand,
            glazed=self.outcomes[0].glazed,
        )

    def slopes(self, base: Array) -> dict[tuple[str, int], Array]:
        """d ln reflectance (n, 31) by K, S and exponent of each column, each layer's amount, and stray light."""
        found = {("stray", 0): (self(stray=_STEP) - base) / _STEP}
        for column in range(self.stack.stain.shape[1]):
            for what, part in (("K", LN_K), ("S", LN_S), ("exponent", EXPONENT)):
                found[what, column] = (self(column=column, part=part) - base) / _STEP
        for layer in range(self.stack.layers):
            found["layer", layer] = (self(layer=layer) - base) / _STEP
        return found
