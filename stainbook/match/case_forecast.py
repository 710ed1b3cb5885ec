"""Colours that many stacks of layers will have on many bodies, with every source of doubt kept apart.

The same forecast as `optics.forecast`, for a whole case at once and in ln X, Y, Z: layers act
through the sums of what their stains absorb and scatter, so a film is evaluated twice a layer,
not three times a stain, and the chain rule does the rest. Sources carry the names that
`optics.forecast` gives them: one name, one cause.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from stainbook.match.problem import Bench, Start
from stainbook.optics.curves import EXPONENT, FADE, LN_K, LN_S, StainCurve
from stainbook.optics.film import Piece, coat_amount, reading_after
from stainbook.optics.fit import SOAKED_SHIFT_SD
from stainbook.optics.forecast import LEVEL_SD, SHIFT_SD, curves_for, normals
from stainbook.optics.stack import Stack, stack_of
from stainbook.optics.two_by_two import Array
from stainbook.records import Layers

_STEP = 1e-3
_CHUNK = 96  # stacks at a time: their arrays stay in the second-level cache

Rows = NDArray[np.int_]


@dataclass(frozen=True, slots=True, eq=False)
class ForecastRequest:
    """One forecast that is asked for: layers on a body, how it leaves, and the light it is seen in.

    ``zone`` names whose hand errors these are; ``weights`` (31, 3) turn reflectance to X, Y, Z.
    """

    start: Start
    layers: Layers
    glazed: bool
    zone: str
    weights: Array


@dataclass(slots=True, eq=False)
class Outlook:
    """Likeliest ln reflectance (n, 31) and ln X, Y, Z (n, 3), and rows of one standard deviation by source.

    ``sources`` maps a name to pairs of stacks (m,) and rows (m, k, 3) of ln X, Y, Z.
    """

    ln_reflectance: Array
    ln_xyz: Array
    sources: dict[str, list[tuple[Rows, Array]]] = field(default_factory=dict)

    def add(self, name: str, stacks: Rows, rows: Array) -> None:
        """Take up a source."""
        self.sources.setdefault(name, []).append((stacks, rows))

    def covariance(self) -> Array:
        """(n, 3, 3) of ln X, Y, Z, all sources together."""
        out = np.zeros((len(self.ln_xyz), 3, 3))
        for parts in self.sources.values():
            for stacks, rows in parts:
                out[stacks] += np.swapaxes(rows, 1, 2) @ rows
        return out

    def draw(self, count: int) -> Array:
        """(n, count, 3) possible ln X, Y, Z; the same numbers for the same source every time."""
        out = np.repeat(self.ln_xyz[:, None], count, axis=1)
        for name, parts in self.sources.items():
            for stacks, rows in parts:
                out[stacks] += normals(name, count, rows.shape[1]) @ rows
        return out


def outlook(bench: Bench, wanted: Sequence[ForecastRequest]) -> Outlook:
    """Forecasts of all that is wanted.

    Cost: 2 layers + 3 evaluations of the film a stack, and one more for stains that soak in.
    """
    n = len(wanted)
    result = Outlook(np.empty((n, 31)), np.empty((n, 3)))
    for rows in _alike(wanted):
        _one_kind(bench, [wanted[i] for i in rows], np.array(rows), result)
    return result


def _alike(wanted: Sequence[ForecastRequest]) -> Iterator[list[int]]:
    """Places of what can be evaluated together: one ceramic, one surface, one finish, layers or none."""
    groups: dict[tuple[object, ...], list[int]] = {}
    for i, one in enumerate(wanted):
        piece = one.start.piece
        key = (piece.ceramic, piece.surface, one.glazed or not one.start.is_bare, len(one.layers))
        groups.setdefault(key, []).append(i)
    yield from groups.values()


def _one_kind(bench: Bench, wanted: Sequence[ForecastRequest], places: Rows, result: Outlook) -> None:
    film = _film_of(bench, wanted)
    base = film.ln_after()
    weights = np.array([one.weights for one in wanted])
    parts = np.exp(base)[..., None] * weights
    xyz = parts.sum(axis=1)
    to_ln = parts / xyz[:, None]  # (n, 31, 3)
    result.ln_reflectance[places], result.ln_xyz[places] = base, np.log(xyz)
    plain = base if not film.stack.layers else _film_of(bench, wanted, layers=False).ln_after()
    for source, stacks, rows in _sources(bench, wanted, film, base, plain, to_ln):
        result.add(source, places[stacks], rows)


# ---------------------------------------------------------------- the film and its slopes


@dataclass(slots=True, eq=False)
class _Film:
    """Layers of ``n`` stacks by stain column: what each absorbs, scatters or lets soak in, (n, L, m, 31)."""

    piece: Piece
    stack: Stack
    curves: tuple[StainCurve, ...]
    glazed: bool
    k: Array
    s: Array
    soaked: Array | None

    def ln_after(self, *, layer: int | None = None, of: str = "", stray: Array | float = 0.0) -> Array:
        """(n, 31) ln reflectance, with one layer's k or s, all that soaks, or the stray light (n, 1) moved."""
        k, s = self.k.sum(axis=2), self.s.sum(axis=2)
        soaked = None if self.soaked is None else self.soaked.sum(axis=(1, 2))
        if of == "k":
            k[:, layer] *= 1.0 + _STEP
        elif of == "s":
            s[:, layer] *= 1.0 + _STEP
        elif of == "soaked" and soaked is not None:
            soaked *= 1.0 + _STEP
        if self.soaked is not None:  # only a green piece: nothing lies on it
            k, s = k[:, :0], s[:, :0]
        moved = np.broadcast_to(self.piece.stray + stray, (len(k), 1))
        out = np.empty((len(k), 31))
        for start in range(0, len(k), _CHUNK):
            at = slice(start, start + _CHUNK)
            piece = Piece(self.piece.reading[at], self.piece.surface, moved[at], self.piece.ceramic)
            own = None if soaked is None else soaked[at]
            out[at] = reading_after(
                piece, np.moveaxis(k[at], 1, 0), np.moveaxis(s[at], 1, 0), soaked=own, glazed=self.glazed
            )
        return np.log(out)


def _film_of(bench: Bench, wanted: Sequence[ForecastRequest], *, layers: bool = True) -> _Film:
    stacks = [one.layers if layers else () for one in wanted]
    curves = curves_for(bench.optics, stacks, bench.families)
    stack = stack_of(stacks, tuple(curves))
    first = wanted[0].start.piece
    stray = np.array([[float(one.start.piece.stray)] for one in wanted])
    piece = Piece(np.array([one.start.piece.reading for one in wanted]), first.surface, stray, first.ceramic)
    glazed = wanted[0].glazed or not wanted[0].start.is_bare
    k, s, soaked = _laid(bench, stack, tuple(curves.values()))
    return _Film(piece, stack, tuple(curves.values()), glazed, k, s, soaked)


def _laid(bench: Bench, stack: Stack, curves: Sequence[StainCurve]) -> tuple[Array, Array, Array | None]:
    """What each stain of each layer absorbs and scatters, or what soaks in, (n, L, m, 31)."""
    if not curves or stack.stain.shape[1] == 0:
        empty = np.zeros((*stack.share.shape, 31))
        return empty, empty, None
    lots = bench.hands.lots
    ln = np.array([lots[curve.name][1] if curve.name in lots else 0.0 for curve in curves])
    own = np.array([curve.mean for curve in curves])[stack.stain]  # (n, m, 64)
    amount = coat_amount(stack.share, stack.coats[..., None], own[:, None, :, EXPONENT])
    amount = amount * np.exp(bench.hands.operator_ln[0] + ln[stack.stain])[:, None, :]
    coloured = amount * np.exp(np.maximum(stack.firings[..., None] - 1.0, 0.0) * own[:, None, :, FADE])
    k, s = coloured[..., None] * np.exp(own[:, None, :, LN_K]), amount[..., None] * np.exp(own[:, None, :, LN_S])
    soaks = np.array([curve.kind == "infiltrating" for curve in curves])[stack.stain][:, None, :, None]
    return k * ~soaks, s * ~soaks, k * soaks if soaks.any() else None


@dataclass(slots=True, eq=False)
class _Slopes:
    """d ln reflectance by the ln of what each stain column absorbs and scatters in each layer, (n, L, m, 31)."""

    k: Array
    s: Array


def _slopes(film: _Film, base: Array) -> _Slopes:
    k, s = np.zeros_like(film.k), np.zeros_like(film.s)
    for layer in range(film.stack.layers if film.soaked is None else 0):
        for part, of, out in ((film.k, "k", k), (film.s, "s", s)):
            slope = (film.ln_after(layer=layer, of=of) - base) / _STEP
            total = np.maximum(part[:, layer].sum(axis=1, keepdims=True), 1e-300)
            out[:, layer] = slope[:, None] * part[:, layer] / total
    if film.soaked is not None:
        slope = (film.ln_after(of="soaked") - base) / _STEP
        k = slope[:, None, None] * film.soaked / np.maximum(film.soaked.sum(axis=(1, 2), keepdims=True), 1e-300)
    return _Slopes(k, s)


# ---------------------------------------------------------------- sources of doubt

_Source = tuple[str, Rows, Array]


def _sources(
    bench: Bench, wanted: Sequence[ForecastRequest], film: _Film, base: Array, plain: Array, to_ln: Array
) -> Iterator[_Source]:
    """Names, places (m,) and rows (m, k, 3) of ln X, Y, Z, of all that is in doubt."""
    slopes = _slopes(film, base)
    for name, rows, values in (
        *_hand_sources(bench, wanted, film.stack, slopes),
        *_body_sources(wanted, film, base, plain),
    ):
        yield name, rows, values @ to_ln[rows]
    yield from _stain_sources(bench, film, slopes, to_ln)


def _hand_sources(bench: Bench, wanted: Sequence[ForecastRequest], stack: Stack, slopes: _Slopes) -> Iterator[_Source]:
    """Rows (m, 1, 31) of ln reflectance: each layer's own, the firing's, the operator's."""
    layers = (slopes.k + slopes.s).sum(axis=2)  # (n, L, 31)
    if not layers.shape[1]:
        return
    every = np.arange(len(wanted))
    yield "firing", every, layers.sum(axis=1)[:, None] * bench.hands.firing
    if bench.hands.operator_ln[1] > 0:
        yield f"operator {bench.hands.operator}", every, layers.sum(axis=1)[:, None] * bench.hands.operator_ln[1]
    scatter = bench.hand_scatter / np.sqrt(np.maximum(stack.coats, 1.0))
    for zone, rows in _by_name([one.zone for one in wanted]):
        for layer in range(layers.shape[1]):
            yield f"hand {zone} {layer + 1}", rows, (layers[rows, layer] * scatter[rows, layer, None])[:, None]


def _stain_sources(bench: Bench, film: _Film, slopes: _Slopes, to_ln: Array) -> Iterator[_Source]:
    """Rows (m, k, 3) of ln X, Y, Z: what the chips left open of each stain, and its lot."""
    stack = film.stack
    shares = np.log(np.where(stack.share > 0.0, stack.share, 1.0))[..., None]
    k, s = (part.sum(axis=1)[..., None] * to_ln[:, None] for part in (slopes.k, slopes.s))  # (n, m, 31, 3)
    exponent = ((slopes.k + slopes.s) * shares).sum(axis=1) @ to_ln  # (n, m, 3)
    fade = (slopes.k * np.maximum(stack.firings - 1.0, 0.0)[..., None, None]).sum(axis=1) @ to_ln
    used = (stack.share > 0.0).any(axis=1)
    for index, curve in enumerate(film.curves):
        at = np.nonzero((stack.stain == index) & used)
        if not len(at[0]):
            continue
        factor = curve.factor
        rows = factor[LN_K].T @ k[at] + factor[LN_S].T @ s[at]
        rows += factor[EXPONENT][:, None] * exponent[at][:, None] + factor[FADE][:, None] * fade[at][:, None]
        yield f"fit {curve.name}", at[0], rows
        if curve.name in bench.hands.lots and bench.hands.lots[curve.name][2] > 0:
            lot, _, doubt = bench.hands.lots[curve.name]
            yield f"lot {curve.name} {lot}", at[0], (k[at] + s[at]).sum(axis=1, keepdims=True) * doubt


def _body_sources(wanted: Sequence[ForecastRequest], film: _Film, base: Array, plain: Array) -> Iterator[_Source]:
    """Rows (m, k, 31) of ln reflectance: the model's, the bare face's, the reading's."""
    change, span = base - plain, np.linspace(-1.0, 1.0, base.shape[1])
    level, share = np.full_like(change, LEVEL_SD), change * (SHIFT_SD if film.soaked is None else SOAKED_SHIFT_SD)
    model = np.stack([level, level * span, share, share * span], axis=1)
    stray = _stray_rows(wanted, film)
    for name, rows in _by_name([one.start.name for one in wanted]):
        yield f"model {name}", rows, model[rows]
        if stray is not None:
            yield f"surface {name}", rows, stray[rows]
        covariance = wanted[rows[0]].start.covariance
        if covariance is not None:
            yield f"reading {name}", rows, np.repeat(_root(covariance)[None], len(rows), axis=0)


def _stray_rows(wanted: Sequence[ForecastRequest], film: _Film) -> Array | None:
    """(n, 1, 31) of a matt face's stray light: half the chord over its doubt; on a dark piece it is no small part."""
    if film.piece.surface != "matt":
        return None
    expected = film.piece.ceramic.stray_sd
    sd = np.array([[expected if one.start.stray_sd is None else one.start.stray_sd] for one in wanted])
    reach = np.maximum(sd, _STEP)
    chord = film.ln_after(stray=reach) - film.ln_after(stray=-reach)
    return np.asarray((chord * sd / (2.0 * reach))[:, None])


def _by_name(names: Sequence[str]) -> Iterator[tuple[str, Rows]]:
    found: dict[str, list[int]] = {}
    for i, name in enumerate(names):
        found.setdefault(name, []).append(i)
    for name, rows in found.items():
        yield name, np.array(rows)


def _root(covariance: Array) -> Array:
    """Rows whose product with themselves is the covariance; what is next to nothing is left out."""
    values, vectors = np.linalg.eigh(covariance)
    keep = values > 1e-12
    return np.asarray((vectors[:, keep] * np.sqrt(values[keep])).T)
