"""The colour that layers will have after the furnace, with every source of doubt kept apart.

A forecast is the likeliest ln reflectance and, for each source of doubt, how one standard deviation
of it moves that. Sources have names; the same name in two forecasts is the same cause (one hand, one
lot, what the chips left open of one stain), so that a whole case can be drawn with its errors
correlated. ln reflectance keeps the distribution sensible where doubts are wide: no draw is negative.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from stainbook.optics.curves import EXPONENT, FADE, LN_K, LN_S, Optics, StainCurve, expected_curve
from stainbook.optics.film import Piece
from stainbook.optics.fit import SOAKED_SHIFT_SD, change_rows
from stainbook.optics.stack import Stack, ln_after, stack_of
from stainbook.optics.two_by_two import Array
from stainbook.records import Layers

OPERATOR_SD = 0.18  # of ln amount: a hand that made no chips, or none named, against the one that did (simulated labs)
FIRING_SD = 0.05  # of ln amount: no two firings are quite alike (simulated labs)
LOT_SD = 0.18  # of ln strength: a lot no chip was made with (simulated labs)
LEVEL_SD = 0.002  # of ln reflectance: what the model cannot follow even where there is hardly any stain
SHIFT_SD = 0.03  # of the change that the layers make in ln reflectance: what the model cannot follow grows with it
_STEP = 1e-3


@dataclass(frozen=True, slots=True)
class Hands:
    """Whose hand and which jars are meant: mean ln factor and its doubt, for the operator and each stain's lot.

    A factor of 0 with doubt 0 is the hand or lot of the chips themselves.
    """

    operator: str = "chips"
    operator_ln: tuple[float, float] = (0.0, 0.0)
    lots: Mapping[str, tuple[str, float, float]] = field(default_factory=dict)  # stain: (lot, ln factor, doubt)
    scatter: float | None = None  # of ln amount of one coat; None: as the chips show
    firing: float = FIRING_SD  # of ln amount: how firings differ


@dataclass(frozen=True, slots=True, eq=False)
class Forecast:
    """Likeliest ln reflectance (31,) after firing and, by source, rows (k, 31) of one standard deviation each."""

    layers: Layers
    ln_mean: Array
    sources: dict[str, Array]

    @property
    def reflectance(self) -> Array:
        """(31,) the likeliest reflectance."""
        return np.asarray(np.exp(self.ln_mean))

    def covariance(self) -> Array:
        """(31, 31) of ln reflectance, all sources together."""
        return np.asarray(sum(rows.T @ rows for rows in self.sources.values()))


def forecast(
    optics: Optics,
    piece: Piece,
    stacks: Sequence[Layers],
    *,
    key: str = "",
    glazed: bool = True,
    hands: Hands | None = None,
    families: Mapping[str, tuple[str, str | None]] | None = None,
    stray_sd: float | None = None,
    reading_covariance: Array | None = None,
) -> list[Forecast]:
    """Forecasts of several stacks of layers on one body.

    Parameters
    ----------
    piece : one body, reading (31,)
    stacks : layers, bottom first; () leaves the body as it is but for its finish
    key : names the zone; sources of doubt that belong to it alone carry it
    glazed : the piece leaves under glass (finish glaze, or any layer)
    hands : whose hand and which lots; None means those of the chips
    families : (kind, family) of stains that may have no chip yet
    stray_sd : doubt of the body's stray light, reflectance; None takes the ceramic's for matt faces
    reading_covariance : (31, 31) of ln reflectance of the body's own reading

    Cost: (4 + 3 stains + layers) evaluations of the film for all stacks at once.
    """
    hands = hands or Hands()
    curves = curves_for(optics, stacks, families or {})
    names = tuple(curves)
    stack = stack_of(stacks, names)
    means = np.array([_with_lot(curves[name], hands) for name in names])
    soaks = np.array([curves[name].kind == "infiltrating" for name in names])
    model = _Model(piece, stack, means, soaks, hands.operator_ln[0], glazed)
    base = model()
    plain = (
        np.log(piece.reading) if not glazed else _Model(piece, stack_of([()], names), means, soaks, 0.0, glazed)()[0]
    )
    stray = _stray_sd(piece, stray_sd)
    slopes = _slopes(model, base, stack, stray)
    result = []
    for i, layers in enumerate(stacks):
        sources = _hand_sources(stack, slopes, i, hands, optics.pooled.hand, key)
        sources |= _stain_sources(stack, slopes, i, names, curves, hands)
        if stray:
            sources[f"surface {key}"] = slopes["stray"][i][None] * stray
        soaking = any(curves[name].kind == "infiltrating" for layer in layers for name in layer.pot.stains)
        sources[f"model {key}"] = _model_rows(base[i] - plain, SOAKED_SHIFT_SD if soaking else SHIFT_SD)
        if reading_covariance is not None:
            sources[f"reading {key}"] = _root(reading_covariance)
        result.append(Forecast(layers, base[i], sources))
    return result


def curves_for(
    optics: Optics, stacks: Sequence[Layers], families: Mapping[str, tuple[str, str | None]]
) -> dict[str, StainCurve]:
    """Curves of the stains that the stacks use, and of clear glaze; stains without chips as their family has it."""
    used = {name for layers in stacks for layer in layers for name in layer.pot.stains}
    curves = {name: optics.stains[name] for name in sorted(used) if name in optics.stains}
    for name in sorted(used - curves.keys()):
        kind, family = families.get(name, ("surface", None))
        curves[name] = expected_curve(name, kind, family, optics.pooled)
    if "clear" in optics.stains:
        curves["clear"] = optics.stains["clear"]
    return curves


def _with_lot(curve: StainCurve, hands: Hands) -> Array:
    mean = curve.mean.copy()
    if curve.name in hands.lots:
        mean[LN_K] += hands.lots[curve.name][1]
        mean[LN_S] += hands.lots[curve.name][1]
    return mean


@dataclass(slots=True)
class _Model:
    """ln reflectance (n, 31) of all stacks, with one number moved at a time."""

    piece: Piece
    stack: Stack
    means: Array
    soaks: np.ndarray
    ln_operator: float
    glazed: bool

    def __call__(
        self,
        *,
        column: int | None = None,
        part: slice | int | None = None,
        layer: int | None = None,
        stray: float = 0.0,
    ) -> Array:
        if len(self.means) == 0:
            own = np.zeros((*self.stack.stain.shape, FADE + 1))
            soaks = np.zeros(self.stack.stain.shape, dtype=bool)
        else:
            own, soaks = self.means[self.stack.stain], self.soaks[self.stack.stain]
        if column is not None:
            own[:, column, part] += _STEP
        hand = np.full(self.stack.coats.shape, float(self.ln_operator))
        if layer is not None:
            hand[:, layer] += _STEP
        moved = Piece(self.piece.reading[None], self.piece.surface, self.piece.stray + stray, self.piece.ceramic)
        after = ln_after(
            moved,
            self.stack,
            K=np.exp(own[..., LN_K]),
            S=np.exp(own[..., LN_S]),
            exponent=own[..., EXPONENT],
            ln_fade=own[..., FADE],
            soaks=soaks,
            ln_hand=hand,
            glazed=self.glazed,
        )
        return np.broadcast_to(after, (len(self.stack.coats), after.shape[-1]))


def _slopes(model: _Model, base: Array, stack: Stack, stray: float) -> dict[str | tuple[str, int], Array]:
    """d ln reflectance (n, 31) by each number: of a column of stains, of a layer's amount, of stray light.

    Stray light is no small part of a dark piece's reading: its slope is that of the chord over its own doubt.
    """
    reach = max(stray, _STEP)
    chord = (model(stray=reach) - model(stray=-reach)) / (2.0 * reach)
    slopes: dict[str | tuple[str, int], Array] = {"stray": chord}
    refired = bool(np.any((stack.firings > 1) & (stack.coats > 0)))
    for column in range(stack.stain.shape[1]):
        slopes["K", column] = (model(column=column, part=LN_K) - base) / _STEP
        slopes["S", column] = (model(column=column, part=LN_S) - base) / _STEP
        slopes["exponent", column] = (model(column=column, part=EXPONENT) - base) / _STEP
        if refired:
            slopes["fade", column] = (model(column=column, part=FADE) - base) / _STEP
    for layer in range(stack.layers):
        slopes["layer", layer] = (model(layer=layer) - base) / _STEP
    return slopes


def _hand_sources(
    stack: Stack, slopes: dict[str | tuple[str, int], Array], i: int, hands: Hands, scatter: float, key: str
) -> dict[str, Array]:
    each = hands.scatter if hands.scatter is not None else scatter
    sources, together = {}, np.zeros(slopes["stray"].shape[1])
    for layer in range(stack.layers):
        coats = stack.coats[i, layer]
        if coats > 0:
            slope = slopes["layer", layer][i]
            sources[f"hand {key} {layer + 1}"] = slope[None] * each / np.sqrt(coats)
            together = together + slope
    if together.any():
        sources["firing"] = together[None] * hands.firing
    if hands.operator_ln[1] > 0 and together.any():
        sources[f"operator {hands.operator}"] = together[None] * hands.operator_ln[1]
    return sources


def _stain_sources(
    stack: Stack,
    slopes: dict[str | tuple[str, int], Array],
    i: int,
    names: Sequence[str],
    curves: Mapping[str, StainCurve],
    hands: Hands,
) -> dict[str, Array]:
    sources = {}
    for column in range(stack.stain.shape[1]):
        if not stack.share[i, :, column].any():
            continue
        name = names[stack.stain[i, column]]
        k, s = slopes["K", column][i], slopes["S", column][i]
        factor = curves[name].factor
        rows = factor[LN_K].T * k + factor[LN_S].T * s + np.outer(factor[EXPONENT], slopes["exponent", column][i])
        if ("fade", column) in slopes:
            rows = rows + np.outer(factor[FADE], slopes["fade", column][i])
        sources[f"fit {name}"] = rows
        if name in hands.lots and hands.lots[name][2] > 0:
            lot, _, doubt = hands.lots[name]
            sources[f"lot {name} {lot}"] = (k + s)[None] * doubt
    return sources


def _stray_sd(piece: Piece, given: float | None) -> float:
    if piece.surface != "matt":
        return 0.0
    return piece.ceramic.stray_sd if given is None else given


def _model_rows(change: Array, share: float) -> Array:
    """Rows of what the model cannot follow: level and tilt over the spectrum, and a share of the change."""
    return np.concatenate([change_rows(np.ones_like(change), LEVEL_SD), change_rows(change, share)])


def _root(covariance: Array) -> Array:
    values, vectors = np.linalg.eigh(covariance)
    keep = values > 1e-12
    return np.asarray((vectors[:, keep] * np.sqrt(values[keep])).T)


def draw(forecasts: Forecast, count: int) -> Array:
    """``count`` possible ln reflectances (count, 31), the same numbers for the same sources every time."""
    out = np.repeat(forecasts.ln_mean[None], count, axis=0)
    for name, rows in forecasts.sources.items():
        out += normals(name, count, len(rows)) @ rows
    return np.asarray(out)


def normals(name: str, count: int, columns: int) -> Array:
    """Standard normal numbers (count, columns) that belong to a source's name: a fixed seed, drawn in pairs of sign."""
    rng = np.random.default_rng(zlib.crc32(name.encode()))
    half = rng.standard_normal(((count + 1) // 2, columns))
    return np.concatenate([half, -half])[:count]
