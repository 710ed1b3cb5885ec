"""What every one-layer option makes of any body, cheaply: three numbers an option and wavelength.

A slab on a body sends back R + T ρ T / (1 - R ρ): a quotient of two linear functions of what the
body sends back (Kubelka 1948), whatever the number of streams, since a body sends light back spread
alike. So the reading after an option is (a + b x) / (1 + c x) of the reading x before it, less stray
light, exactly; three grey bodies give a, b and c. A layer upon layers sees a glazed piece that reads
as they left it; that is no longer exact (light comes up less evenly spread), but within 0.2 ΔE00 at
the median and 0.6 at the 95th percentile, and only steers the search.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from stainbook.match.layer_options import Options
from stainbook.match.problem import Bench
from stainbook.optics.curves import EXPONENT
from stainbook.optics.film import Piece, Soak, reading_after
from stainbook.optics.forecast import curves_for
from stainbook.optics.laid import Laid
from stainbook.optics.stack import stack_of
from stainbook.optics.two_by_two import Array

GREYS = (0.1, 0.4, 0.8)  # readings of the three bodies
_CHUNK = 128
_ROWS = 512  # stacks of liquids at a time: their arrays stay in the cache
_DARKEST = 1e-4

Rows = NDArray[np.int_]


class OptionResponse(Protocol):
    """Reflectance after stacks of options on one body."""

    def after(self, piece: Piece, rows: Rows) -> Array:
        """(r, 31) after the options ``rows`` (r, L), bottom first, -1 for no layer."""
        ...


@dataclass(frozen=True, slots=True, eq=False)
class Coating:
    """Options that lie on the piece: ``body`` and ``glaze`` are a, b, c (3, n, 31) on a piece as it is and on glass."""

    body: Array
    glaze: Array

    def after(self, piece: Piece, rows: Rows) -> Array:
        """(r, 31) after the options ``rows`` (r, L); each row starts with a layer."""
        net = piece.reading - (piece.stray if piece.surface == "matt" else 0.0)
        out = _quotient(self.body, rows[:, 0], np.maximum(net, _DARKEST))
        for layer in range(1, rows.shape[1]):
            on = rows[:, layer] >= 0
            out[on] = _quotient(self.glaze, rows[on, layer], out[on])
        return np.maximum(out, _DARKEST)


@dataclass(frozen=True, slots=True, eq=False)
class Soaking:
    """Options that go into a green piece: what each makes of it alone, its dose (n,) and the power of that (n,)."""

    soak: Soak
    dose: Array
    power: Array
    glazed: bool

    def after(self, piece: Piece, rows: Rows) -> Array:
        """(r, 31) after the options ``rows`` (r, L): what soaks in adds up, in pores that all of it fills."""
        out = np.empty((len(rows), 31))
        for start in range(0, len(rows), _ROWS):
            at = slice(start, start + _ROWS)
            out[at] = self._after(piece, rows[at])
        return out

    def _after(self, piece: Piece, rows: Rows) -> Array:
        on = rows >= 0
        whole = np.where(on, self.dose[rows], 0.0).sum(axis=1, keepdims=True)
        part = np.where(on, (whole / self.dose[rows]) ** (self.power[rows] - 1.0), 0.0)
        growth, reach = np.zeros((2, len(rows), 31))
        for layer in range(rows.shape[1]):
            own = part[:, layer, None] * self.soak.growth[rows[:, layer]]
            growth += own
            reach += own * self.soak.depth[rows[:, layer]]
        none = np.empty((0, len(rows), 31))
        return reading_after(piece, none, none, soaked=Soak(growth, reach / growth), glazed=self.glazed)


def _quotient(abc: Array, rows: Rows, x: Array) -> Array:
    a, b, c = abc
    return np.asarray((a[rows] + b[rows] * x) / (1.0 + c[rows] * x))


def response_of(bench: Bench, options: Options, piece: Piece, *, glazed: bool) -> OptionResponse:
    """The response of pieces of this one's ceramic and surface to all options.

    Cost: one slab and three films an option for each surface; 8 x 6 x 31 bytes an option.
    """
    laid, exponent = _alone(bench, options, piece)
    soak = laid.soak
    if soak is not None:
        share = laid.stack.share[:, 0]
        dose = share.sum(axis=1)
        return Soaking(soak, dose * options.coats, (share * exponent).sum(axis=1) / dose, glazed)
    k, s = laid.k.sum(axis=(1, 2)), laid.s.sum(axis=(1, 2))
    body = _three_numbers(k, s, piece)
    bare = Piece(piece.reading, "glazed", 0.0, piece.ceramic)
    return Coating(body, _three_numbers(k, s, bare) if piece.surface != "glazed" else body)


def _three_numbers(k: Array, s: Array, piece: Piece) -> Array:
    """a, b, c (3, n, 31) from the readings of three grey bodies: y = a + b x - c x y, three times."""
    x1, x2, x3 = GREYS
    y1, y2, y3 = _on_greys(k, s, piece)
    d12, d13 = (y1 - y2) / (x1 - x2), (y1 - y3) / (x1 - x3)
    e12, e13 = (x1 * y1 - x2 * y2) / (x1 - x2), (x1 * y1 - x3 * y3) / (x1 - x3)
    c = (d12 - d13) / (e13 - e12)
    b = d12 + c * e12
    return np.stack([y1 - b * x1 + c * x1 * y1, b, c])


def _on_greys(k: Array, s: Array, piece: Piece) -> Array:
    """(3, n, 31) on each of the three grey bodies: a slab is worked out once and laid on all of them."""
    out = np.empty((len(GREYS), *k.shape))
    bodies = Piece(np.array(GREYS)[:, None, None] * np.ones(31), piece.surface, 0.0, piece.ceramic)
    for start in range(0, len(k), _CHUNK):
        at = slice(start, start + _CHUNK)
        out[:, at] = reading_after(bodies, k[None, at], s[None, at])
    return out


def _alone(bench: Bench, options: Options, piece: Piece) -> tuple[Laid, Array]:
    """Each option alone on a piece, and the exponents (n, m) of its stains."""
    stacks = [(layer,) for layer in options.layers]
    curves = tuple(curves_for(bench.optics, stacks, bench.families).values())
    stack = stack_of(stacks, [curve.name for curve in curves])
    means, lots = np.array([curve.mean for curve in curves]), bench.hands.lots
    ln = np.array([lots[curve.name][1] if curve.name in lots else 0.0 for curve in curves])[stack.stain]
    soaks = np.array([curve.kind == "infiltrating" for curve in curves])
    laid = Laid.of(piece, stack, means, soaks, ln_amount=bench.hands.operator_ln[0], ln_lots=ln)
    return laid, means[stack.stain, EXPONENT]
