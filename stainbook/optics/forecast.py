"""The one predictor: the colours that layers will have after the furnace, with every cause of doubt kept apart.

Many stacks on many bodies at once: the likeliest ln reflectance of each and, for each cause, how one
standard deviation of it moves that. One name is one cause (see `causes`), so that a whole case can be
drawn with its errors correlated, and what was read of some zones tells of those that were not.
ln reflectance, or ln X, Y, Z, keeps the distribution sensible where doubts are wide: no draw is negative.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from stainbook.optics.causes import (
    FIRING_SD,
    LEVEL_SD,
    LOT_SD,
    OPERATOR_SD,
    SHIFT_SD,
    Cause,
    Hands,
    Places,
    amount_causes,
    by_name,
    darkness_causes,
    model_causes,
    root,
    stain_causes,
    stray_causes,
)
from stainbook.optics.ceramic import has_bare_face
from stainbook.optics.curves import Optics, StainCurve, Unstated, expected_curve
from stainbook.optics.film import Piece
from stainbook.optics.laid import Laid
from stainbook.optics.stack import stack_of
from stainbook.optics.two_by_two import Array
from stainbook.records import Layers

__all__ = [
    "FIRING_SD",
    "LEVEL_SD",
    "LOT_SD",
    "OPERATOR_SD",
    "SHIFT_SD",
    "Forecast",
    "ForecastRequest",
    "Forecasts",
    "Hands",
    "Start",
    "curves_for",
    "draw",
    "forecast",
    "forecasts",
    "normals",
]  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class Start:
    """A body as it was read, 400-700/10 nm, and the doubt of that reading.

    ``covariance`` (31, 31) of ln reflectance, ``stray_sd`` of the stray light of its face as a
    reflectance factor (None: as expected of the ceramic). Bodies of one ``name`` were read once:
    their errors are the same.
    """

    piece: Piece
    name: str
    covariance: Array | None = None
    stray_sd: float | None = None

    @property
    def is_bare(self) -> bool:
        """True when the reading went through the ceramic's own face."""
        return has_bare_face(self.piece.surface)


@dataclass(frozen=True, slots=True, eq=False)
class ForecastRequest:
    """One forecast that is asked for: layers on a body, how it leaves, and in which zone.

    ``glazed``: it leaves under glass. ``zone`` names whose hand errors these are; ``weights`` (31, 3) turn
    reflectance to X, Y, Z where the forecast is wanted in ln X, Y, Z; of several lights (31, 3 l), as many for all.
    """

    start: Start
    layers: Layers
    glazed: bool
    zone: str
    weights: Array | None = None


@dataclass(slots=True, eq=False)
class Forecasts:
    """Likeliest ln reflectance (n, 31), what is forecast (n, d), and rows of one standard deviation by cause.

    What is forecast is ln X, Y, Z (d = 3) where weights were given, else ln reflectance itself (d = 31).
    ``sources`` maps a name to pairs of stacks (m,) and rows (m, k, d).
    """

    ln_reflectance: Array
    mean: Array
    sources: dict[str, list[tuple[Places, Array]]] = field(default_factory=dict)

    @property
    def ln_xyz(self) -> Array:
        """(n, 3) where weights were given."""
        return self.mean

    def add(self, name: str, stacks: Places, rows: Array) -> None:
        """Take up a cause."""
        self.sources.setdefault(name, []).append((stacks, rows))

    def covariance(self) -> Array:
        """(n, d, d) of each stack, all causes together."""
        n, d = self.mean.shape
        out = np.zeros((n, d, d))
        for parts in self.sources.values():
            for stacks, rows in parts:
                out[stacks] += np.swapaxes(rows, 1, 2) @ rows
        return out

    def joint(self) -> Array:
        """(n·d, n·d) of all stacks, with the causes that they share."""
        n, d = self.mean.shape
        out = np.zeros((n, d, n, d))
        for parts in self.sources.values():
            places = np.concatenate([stacks for stacks, _ in parts])
            rows = np.concatenate([own for _, own in parts])  # (m, k, d)
            flat = np.swapaxes(rows, 0, 1).reshape(rows.shape[1], -1)
            shared = (flat.T @ flat).reshape(len(places), d, len(places), d)
            out[np.ix_(places, np.arange(d), places, np.arange(d))] += shared
        return out.reshape(n * d, n * d)

    def given(self, read: Sequence[int], seen: Array, noise: Array) -> tuple[Array, Array]:
        """All stacks once some were read: mean (n, d) and joint covariance (n·d, n·d).

        Gaussian conditioning: a firing that came out strong in the zones that were read was strong in all.

        Parameters
        ----------
        read : (r,) the stacks that were read
        seen : (r, d) what was read of them, as is forecast
        noise : (r, d, d) covariance of these readings
        """
        n, d = self.mean.shape
        joint = self.joint()
        places = np.asarray(read, dtype=int)
        own = (places[:, None] * d + np.arange(d)).reshape(-1)
        within = joint[np.ix_(own, own)]
        for i, one in enumerate(noise):
            within[i * d : (i + 1) * d, i * d : (i + 1) * d] += one
        gain = np.linalg.solve(within, joint[own]).T  # (n·d, r·d)
        off = (np.asarray(seen) - self.mean[places]).reshape(-1)
        after = joint - gain @ joint[own]
        return self.mean + (gain @ off).reshape(n, d), 0.5 * (after + after.T)

    def draw(self, count: int) -> Array:
        """(n, count, d) possible values; the same numbers for the same cause every time."""
        out = np.repeat(self.mean[:, None], count, axis=1)
        for name, parts in self.sources.items():
            for stacks, rows in parts:
                out[stacks] += normals(name, count, rows.shape[1]) @ rows
        return out

    def one(self, i: int, layers: Layers) -> Forecast:
        """The forecast of one stack."""
        found: dict[str, Array] = {}
        for name, parts in self.sources.items():
            for stacks, rows in parts:
                for own in rows[stacks == i]:
                    found[name] = own if name not in found else found[name] + own
        return Forecast(layers, self.mean[i], found)


@dataclass(frozen=True, slots=True, eq=False)
class Forecast:
    """Likeliest ln reflectance (31,) after firing and, by cause, rows (k, 31) of one standard deviation each."""

    layers: Layers
    ln_mean: Array
    sources: dict[str, Array]

    @property
    def reflectance(self) -> Array:
        """(31,) the likeliest reflectance."""
        return np.asarray(np.exp(self.ln_mean))

    def covariance(self) -> Array:
        """(31, 31) of ln reflectance, all causes together."""
        return np.asarray(sum(rows.T @ rows for rows in self.sources.values()))


def forecasts(
    optics: Optics,
    wanted: Sequence[ForecastRequest],
    *,
    hands: Hands | None = None,
    families: Mapping[str, tuple[str, str | None]] | None = None,
) -> Forecasts:
    """Forecasts of many requests at once, in ln X, Y, Z where all bring weights, else in ln reflectance.

    Parameters
    ----------
    optics : as fitted
    wanted : n requests
    hands : whose hand and which jars; None means those of the stripes
    families : (kind, family) of stains that may have no stripe yet

    Cost: 2 layers + 3 evaluations of the film a stack, and two more for stains that soak in.

    >>> from stainbook.optics.curves import Optics
    >>> from stainbook.optics.film import Piece
    >>> from stainbook.optics.forecast import ForecastRequest, Start, forecasts
    >>> from stainbook.records import Layer, Pot
    >>> piece = Piece(np.full(31, 0.6), "glazed", 0.0, Optics({}).ceramic("zirconia"))
    >>> stacks = [(), (Layer(Pot.of({"husk": 1 / 4})),)]
    >>> wanted = [ForecastRequest(Start(piece, "11"), layers, True, "11") for layers in stacks]
    >>> np.exp(forecasts(Optics({}), wanted).ln_reflectance[:, 0]).round(2).tolist()  # at 400 nm
    [0.6, 0.55]
    """
    weights = [one.weights for one in wanted if one.weights is not None]
    ln = np.empty((len(wanted), 31))
    width = weights[0].shape[1] if weights else 3
    result = Forecasts(ln, np.empty((len(wanted), width)) if len(weights) == len(wanted) else ln)
    for places in _alike(wanted):
        own = [wanted[i] for i in places]
        curves = curves_for(optics, [one.layers for one in own], families or {})
        _one_kind(optics, own, curves, hands or Hands(), np.array(places), result)
    return result


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
    """Forecasts of several stacks of layers on one piece, in ln reflectance.

    Parameters
    ----------
    piece : as it was read, reading (31,)
    stacks : layers, bottom first; () changes nothing but the finish
    key : names the zone; causes of doubt that belong to it alone carry it
    glazed : the piece ends under glass (finish glaze, or any layer)
    stray_sd : doubt of the piece's stray light, reflectance factor; None takes the ceramic's for matt faces
    reading_covariance : (31, 31) of ln reflectance of the piece's own reading
    hands, families : as in `forecasts`

    >>> from stainbook.optics.curves import Optics
    >>> from stainbook.optics.film import Piece
    >>> from stainbook.optics.forecast import forecast
    >>> from stainbook.records import Layer, Pot
    >>> piece = Piece(np.full(31, 0.6), "glazed", 0.0, Optics({}).ceramic("zirconia"))
    >>> (one,) = forecast(Optics({}), piece, [(Layer(Pot.of({"husk": 1 / 4})),)], key="11 middle")
    >>> sorted(one.sources)
    ['firing', 'fit husk', 'hand 11 middle 1', 'model 11 middle']
    """
    start = Start(piece, key, reading_covariance, stray_sd)
    found = forecasts(
        optics, [ForecastRequest(start, layers, glazed, key) for layers in stacks], hands=hands, families=families
    )
    return [found.one(i, layers) for i, layers in enumerate(stacks)]


def curves_for(
    optics: Optics, stacks: Sequence[Layers], families: Mapping[str, tuple[str, str | None]]
) -> dict[str, StainCurve]:
    """Curves of the stains in the stacks, and of clear glaze; stains without stripes have those of their family.

    >>> from stainbook.optics.forecast import curves_for
    >>> from stainbook.records import Layer, Pot
    >>> list(curves_for(Optics({}), [(Layer(Pot.of({"husk": 1 / 4})),)], {"husk": ("surface", "brown")}))
    ['husk']
    """
    used = {name for layers in stacks for layer in layers for name in layer.pot.stains}
    curves = {name: optics.stains[name] for name in sorted(used) if name in optics.stains}
    for name in sorted(used - curves.keys()):
        kind, family = families.get(name, ("surface", None))
        curves[name] = expected_curve(name, kind, family, optics.pooled)
    if "clear" in optics.stains:
        curves["clear"] = optics.stains["clear"]
    return curves


def _alike(wanted: Sequence[ForecastRequest]) -> Iterator[list[int]]:
    """Places of what can be evaluated together: one ceramic, one surface, one finish, as many layers."""
    groups: dict[tuple[object, ...], list[int]] = {}
    for i, one in enumerate(wanted):
        piece = one.start.piece
        key = (piece.ceramic, piece.surface, one.glazed or not one.start.is_bare, len(one.layers))
        groups.setdefault(key, []).append(i)
    yield from groups.values()


def _one_kind(
    optics: Optics,
    wanted: Sequence[ForecastRequest],
    curves: Mapping[str, StainCurve],
    hands: Hands,
    places: Places,
    result: Forecasts,
) -> None:
    laid = _laid(wanted, tuple(curves.values()), hands)
    base = laid.ln_after()
    plain = base if not laid.stack.layers else laid.without_layers().ln_after()
    onto = None
    result.ln_reflectance[places] = base
    if result.mean is not result.ln_reflectance:
        parts = np.exp(base)[..., None] * np.array([one.weights for one in wanted])
        xyz = parts.sum(axis=1)
        onto = parts / xyz[:, None]  # (n, 31, 3)
        result.mean[places] = np.log(xyz)
    scatter = hands.scatter if hands.scatter is not None else optics.pooled.hand
    slopes = laid.slopes(base)
    for name, at, rows in (
        *amount_causes(slopes, hands, scatter, [one.zone for one in wanted]),
        *darkness_causes(slopes, tuple(curves.values()), np.broadcast_to(laid.piece.reading, base.shape)),
        *_body_causes(wanted, laid, base - plain, optics.unstated),
    ):
        result.add(name, places[at], rows if onto is None else rows @ onto[at])
    for name, at, rows in stain_causes(slopes, tuple(curves.values()), hands, onto):
        result.add(name, places[at], rows)


def _laid(wanted: Sequence[ForecastRequest], curves: Sequence[StainCurve], hands: Hands) -> Laid:
    first = wanted[0].start.piece
    stack = stack_of([one.layers for one in wanted], [curve.name for curve in curves])
    ln = np.array([hands.lots[curve.name][1] if curve.name in hands.lots else 0.0 for curve in curves])
    return Laid.of(
        replace(
            first,
            reading=np.array([one.start.piece.reading for one in wanted]),
            stray=np.array([[float(one.start.piece.stray)] for one in wanted]),
        ),
        stack,
        np.array([curve.mean for curve in curves]),
        np.array([curve.kind == "infiltrating" for curve in curves], dtype=bool),
        ln_amount=hands.operator_ln[0],
        ln_lots=ln[stack.stain] if len(curves) else 0.0,
        glazed=wanted[0].glazed or not wanted[0].start.is_bare,
    )


def _body_causes(wanted: Sequence[ForecastRequest], laid: Laid, change: Array, unstated: Unstated) -> Iterator[Cause]:
    """In ln reflectance: what the model cannot follow, the bare face's stray light, the readings before and after."""
    names = [one.start.name for one in wanted]
    yield from model_causes(names, change, unstated.share)
    expected = laid.piece.ceramic.stray_sd
    sd = np.array([expected if one.start.stray_sd is None else one.start.stray_sd for one in wanted])
    yield from stray_causes(names, laid, sd)
    for name, places in by_name(names):
        covariance = wanted[places[0]].start.covariance
        if covariance is not None:
            rows = root(covariance + unstated.reading())
            yield f"reading {name}", places, np.repeat(rows[None], len(places), axis=0)
    if unstated.noisy:
        rows = root(unstated.reading())
        for name, places in by_name([one.zone for one in wanted]):
            yield f"result {name}", places, np.repeat(rows[None], len(places), axis=0)


def draw(found: Forecast, count: int) -> Array:
    """``count`` possible ln reflectances (count, 31), with the same numbers for the same causes every time.

    >>> from stainbook.optics.forecast import Forecast, draw
    >>> draw(Forecast((), np.zeros(31), {"firing": np.full((1, 31), 0.1)}), 4)[:, 0].round(2).tolist()
    [-0.08, -0.11, 0.08, 0.11]
    """
    out = np.repeat(found.ln_mean[None], count, axis=0)
    for name, rows in found.sources.items():
        out += normals(name, count, len(rows)) @ rows
    return np.asarray(out)


def normals(name: str, count: int, columns: int) -> Array:
    """Standard normal numbers (count, columns) of a cause: its name is their seed, and they come in pairs of sign.

    >>> from stainbook.optics.forecast import normals
    >>> normals("firing", 4, 1).round(1).tolist()
    [[-0.8], [-1.1], [0.8], [1.1]]
    """
    rng = np.random.default_rng(zlib.crc32(name.encode()))
    half = rng.standard_normal(((count + 1) // 2, columns))
    return np.concatenate([half, -half])[:count]
