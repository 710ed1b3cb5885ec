"""From a body's reading and layers of stain to the reading after the furnace.

Everything is an array over pieces: ``n`` pieces, ``L`` layers (bottom first), ``m`` stains a piece
(padded with amount 0), 31 wavelengths.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from stainbook.optics.ceramic import (
    Base,
    Ceramic,
    add_absorption,
    bare_reading,
    base_of,
    has_bare_face,
    inner_reflectance,
    read_bare,
    through_face,
    under_glass,
)
from stainbook.optics.streams import GLASS, lambertian, lay_on, slab, under_face
from stainbook.optics.two_by_two import Array

LOWEST = 1e-4  # no reading is darker; keeps logarithms finite


class Soak(NamedTuple):
    """What liquids did to bodies: growth (n, 31) of absorption over scattering, and the depth S x d (n, 31) of that."""

    growth: Array
    depth: Array


@dataclass(frozen=True, slots=True)
class Piece:
    """Bodies as they were read: reflectance (n, 31) or (31,), the surface read, stray light, the ceramic."""

    reading: Array
    surface: str | None
    stray: Array | float
    ceramic: Ceramic


def reading_after(
    piece: Piece,
    K: Array,
    S: Array,
    *,
    soaked: Soak | None = None,
    glazed: bool = True,
) -> Array:
    """Reflectance (n, 31) that will be read after the layers were fired on the pieces.

    Parameters
    ----------
    piece : the pieces as they were read
    K, S : (L, n, 31) absorption and scattering of each layer, bottom first; L may be 0
    soaked : the change that infiltrating stains made in the pieces
    glazed : the piece ends under glass; without it a bare piece stays bare (only without layers)

    >>> import numpy as np
    >>> from stainbook.optics.ceramic import Ceramic
    >>> from stainbook.optics.film import Piece, reading_after
    >>> piece = Piece(np.full((1, 31), 0.6), "glazed", 0.0, Ceramic.of("zirconia"))
    >>> layer = np.full((1, 1, 31), 0.05)  # K and S of one coat
    >>> round(float(reading_after(piece, layer, layer)[0, 0]), 2)
    0.44
    """
    if not glazed and len(K) == 0 and has_bare_face(piece.surface):
        return np.maximum(_bare(piece, soaked), LOWEST)
    base = _base(piece, soaked)
    passing: Array | float = 1.0
    matrix = base.matrix
    for k, s in zip(K, S, strict=True):
        matrix = lay_on(*slab(k, s), matrix)
        if base.mirror:
            passing = passing * np.exp(-2.0 * (k + s) / GLASS.mu[0])
    return np.maximum(through_face(Base(matrix, base.mirror), passing=passing), LOWEST)


def _bare(piece: Piece, soaked: Soak | None) -> Array:
    """The reading of a piece that stays bare; untouched, it is as it was, also where no ceramic could read so."""
    if soaked is None:
        return piece.reading
    assert piece.surface is not None
    inner = _soak(_inner(piece), soaked)
    return bare_reading(inner, surface=piece.surface, stray=piece.stray, ceramic=piece.ceramic)


def _inner(piece: Piece) -> Array:
    assert piece.surface is not None
    return inner_reflectance(piece.reading, surface=piece.surface, stray=piece.stray, ceramic=piece.ceramic)


def _base(piece: Piece, soaked: Soak | None) -> Base:
    if soaked is None:
        return base_of(piece.reading, surface=piece.surface, stray=piece.stray, ceramic=piece.ceramic)
    if read_bare(piece.surface):
        return under_glass(_soak(_inner(piece), soaked), ceramic=piece.ceramic, surface=piece.surface)
    return Base(lambertian(_soak(under_face(piece.reading), soaked)), 0.0)


def _soak(inner: Array, soaked: Soak) -> Array:
    return add_absorption(inner, *soaked)


def coat_amount(share: Array, coats: Array, exponent: Array) -> Array:
    """Coats at full share that a share and a number of coats stand for: share^exponent x coats, all of one shape.

    >>> import numpy as np
    >>> from stainbook.optics.film import coat_amount
    >>> float(coat_amount(np.array(0.25), np.array(2.0), np.array(0.93)).round(2))
    0.55
    """
    return np.where(share > 0.0, np.power(np.maximum(share, 1e-12), exponent) * coats, 0.0)


def soaked_amount(dose: Array, whole: Array, exponent: Array) -> Array:
    """Passes at full share that a liquid stands for where the pores fill up: its part of whole^exponent.

    Parameters
    ----------
    dose : share x passes of the liquid, any shape
    whole : the same of all liquids that the zone took, 0 where there is none
    exponent : of the liquid, of a shape that goes with these
    """
    return np.asarray(dose * np.power(np.where(whole > 0.0, whole, 1.0), exponent - 1.0))
