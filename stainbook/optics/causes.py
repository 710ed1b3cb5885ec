"""What makes a forecast unsure, said once: each cause by its name and how one standard deviation of it shows.

The same name is the same cause wherever it turns up (one hand, one lot, what the chips left open of one
stain), so that the errors of a whole case are drawn together.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from stainbook.optics.curves import EXPONENT, FADE, LN_K, LN_S, SIZE, StainCurve
from stainbook.optics.laid import Laid, Slopes
from stainbook.optics.two_by_two import Array

OPERATOR_SD = 0.18  # of ln amount: a hand that made no chips, or none named, against the one that did (simulated labs)
FIRING_SD = 0.03  # of ln amount: no two firings are quite alike (simulated labs: 0.01 glazed, 0.03 matt)
LOT_SD = 0.18  # of ln strength: a lot no chip was made with (simulated labs)
LEVEL_SD = 0.002  # of ln reflectance: what the model cannot follow even where there is hardly any stain
SHIFT_SD = 0.03  # of the change that the layers make in ln reflectance: what the model cannot follow grows with it

# Of ln S, by the square of ln how much darker a body is than the plates that a stain was seen on. On black a stain
# shows by what it turns back at once, which paler plates hardly tell: off by a factor of 2 at a fifteenth (simulated).
DARKER_SD = 0.05
DARKEST = 0.01  # mean reflectance: nothing that is read is darker

Places = NDArray[np.int_]
Cause = tuple[str, Places, Array]  # name, the stacks it touches (m,), rows (m, k, 31 or 3) of one deviation each


@dataclass(frozen=True, slots=True)
class Hands:
    """Whose hand and which jars are meant: mean ln factor and its doubt, for the operator and each stain's lot.

    A factor of 0 with doubt 0 is the hand or lot of the chips themselves. ``shared`` and ``lots_shared`` are the
    doubts that outcomes left in common, of the amount and of each stain's lot, by the numbers of `StainCurve.shared`.
    """

    operator: str = "chips"
    operator_ln: tuple[float, float] = (0.0, 0.0)
    lots: Mapping[str, tuple[str, float, float]] = field(default_factory=dict)  # stain: (lot, ln factor, doubt)
    scatter: float | None = None  # of ln amount of one coat; None: as the chips show
    firing: float = FIRING_SD  # of ln amount: how firings differ
    shared: tuple[float, ...] = ()
    lots_shared: Mapping[str, tuple[float, ...]] = field(default_factory=dict)


def change_rows(change: Array, share: float) -> Array:
    """An error that grows with a change of ln reflectance: one row for its level, one for its tilt over the spectrum.

    Parameters
    ----------
    change : (…, n) float, of ln reflectance
    share : of the change, one standard deviation

    Returns
    -------
    (…, 2, n) float, of ln reflectance

    >>> import numpy as np
    >>> from stainbook.optics.causes import change_rows
    >>> change_rows(np.array([0.2, 0.1]), 0.1).round(3).tolist()
    [[0.02, 0.01], [-0.02, 0.01]]
    """
    span = np.linspace(-1.0, 1.0, change.shape[-1])
    return np.stack([share * change, share * change * span], axis=-2)


def shift_sd(more: float = 0.0) -> float:
    """The error of the optics as a share of the change of ln reflectance that layers make, one standard deviation.

    Parameters
    ----------
    more : the share that the lab's stripes show beyond the usual

    >>> from stainbook.optics.causes import shift_sd
    >>> shift_sd(), shift_sd(0.04)
    (0.03, 0.05)
    """
    return float(np.hypot(SHIFT_SD, more))


def model_rows(change: Array, more: float = 0.0) -> Array:
    """The error of the optics in ln reflectance: level and tilt over the spectrum, and a share of the change.

    Parameters
    ----------
    change : (…, n) float, of ln reflectance by the layers
    more : the share that the lab's stripes show beyond the usual

    Returns
    -------
    (…, 4, n) float, rows of one standard deviation

    >>> import numpy as np
    >>> from stainbook.optics.causes import model_rows
    >>> model_rows(np.array([0.2, 0.1])).round(3).tolist()
    [[0.002, 0.002], [-0.002, 0.002], [0.006, 0.003], [-0.006, 0.003]]
    """
    level = change_rows(np.ones_like(change), LEVEL_SD)
    return np.concatenate([level, change_rows(change, shift_sd(more))], axis=-2)


def amount_causes(slopes: Slopes, hands: Hands, scatter: float, zones: Sequence[str]) -> Iterator[Cause]:
    """Causes by the amount put on: each layer's own, the firing's, the operator's.

    ``scatter`` is of ln amount of one coat; ``zones`` names, for each of the n stacks, whose layers they are.
    """
    layers, coats = slopes.amounts, slopes.stack.coats
    laid = np.flatnonzero((coats > 0.0).any(axis=1))
    if not len(laid):
        return
    together = layers[laid].sum(axis=1)[:, None]
    yield "firing", laid, together * hands.firing
    if hands.operator_ln[1] > 0:
        yield f"operator {hands.operator}", laid, together * hands.operator_ln[1]
    each = scatter / np.sqrt(np.maximum(coats, 1.0))
    for zone, places in by_name(zones):
        for layer in range(layers.shape[1]):
            own = places[coats[places, layer] > 0.0]
            if len(own):
                yield f"hand {zone} {layer + 1}", own, (layers[own, layer] * each[own, layer, None])[:, None]


def stain_causes(
    slopes: Slopes, curves: Sequence[StainCurve], hands: Hands, onto: Array | None = None
) -> Iterator[Cause]:
    """Causes that stripes and outcomes leave open of each stain, and of its jar.

    ``onto`` (n, 31, d) takes ln reflectance further. The doubt that outcomes leave in stains, jars and the hand
    together is one cause: these err against one another.
    """
    stack, used = slopes.stack, (slopes.stack.share > 0.0).any(axis=1)
    k, s, exponent, fade = slopes.absorbed, slopes.scattered, slopes.exponents, slopes.fades
    common: Array | None = None
    strength = slopes.strengths
    for index, curve in enumerate(curves):
        at = np.nonzero((stack.stain == index) & used)
        if not len(at[0]):
            continue
        to, own, shared = None if onto is None else onto[at[0]], curve.factor.shape[1], _shared(curve, hands)
        factor = curve.factor if shared is None else np.concatenate([curve.factor, shared], axis=1)
        rows = _through(factor[LN_K], k[at], to) + _through(factor[LN_S], s[at], to)
        rows += _through(factor[EXPONENT][None], exponent[at], to) + _through(factor[FADE][None], fade[at], to)
        yield f"fit {curve.name}", at[0], rows[:, :own]
        if shared is not None:
            common = np.zeros((len(stack.share), *rows[0, own:].shape)) if common is None else common
            common[at[0]] += rows[:, own:]
        if curve.name in hands.lots and hands.lots[curve.name][2] > 0:
            lot, _, doubt = hands.lots[curve.name]
            yield f"lot {curve.name} {lot}", at[0], _through(np.array([[doubt]]), strength[at], to)
    if common is not None:
        laid = np.flatnonzero(common.any(axis=(1, 2)))
        yield "learnt", laid, common[laid]


def darkness_causes(slopes: Slopes, curves: Sequence[StainCurve], readings: Array) -> Iterator[Cause]:
    """Causes by bodies, read as (n, 31), that are darker than any plate a stain was seen on: how it scatters there."""
    used = (slopes.stack.share > 0.0).any(axis=1)
    for index, curve in enumerate(curves):
        if curve.kind == "infiltrating" or curve.darkest <= 0.0:
            continue
        darker = np.log(curve.darkest / np.maximum(readings.mean(axis=-1), DARKEST))
        at = np.nonzero((slopes.stack.stain == index) & used & (darker > 0.0)[:, None])
        if len(at[0]):
            reach = DARKER_SD * np.square(darker[at[0]])
            yield f"dark {curve.name}", at[0], (slopes.scattered[at] * reach[:, None])[:, None]


def _shared(curve: StainCurve, hands: Hands) -> Array | None:
    """(64, s) what the curve, its lot and the hand have in common with others; None where nothing was learnt."""
    amount = [np.array(one) for one in (hands.shared, hands.lots_shared.get(curve.name, ())) if one]
    if curve.shared is None and not amount:
        return None
    columns = len(amount[0]) if curve.shared is None else curve.shared.shape[1]
    out = np.zeros((SIZE, columns)) if curve.shared is None else curve.shared.copy()
    for one in amount:
        out[LN_K] += one
        if curve.kind != "infiltrating":  # S of a liquid is how deep it goes
            out[LN_S] += one
    return out


def _through(factor: Array, slope: Array, onto: Array | None) -> Array:
    """(m, r, d) rows of a curve's factor (31 or 1, r) where ln reflectance moves by the slope (m, 31)."""
    if onto is None:
        return np.asarray(factor.T * slope[:, None])
    moved = slope[..., None] * onto
    return np.asarray(factor.T @ (moved if len(factor) > 1 else moved.sum(axis=1, keepdims=True)))


def model_causes(names: Sequence[str], change: Array, more: float = 0.0) -> Iterator[Cause]:
    """The error of the optics in the change (n, 31) of ln reflectance that the layers make, one cause a piece."""
    for name, places in by_name(names):
        yield f"model {name}", places, model_rows(change[places], more)


def stray_causes(names: Sequence[str], laid: Laid, sd: Array) -> Iterator[Cause]:
    """Causes by the stray light of matt faces; ``sd`` (n,) is its doubt as a reflectance factor."""
    if laid.piece.surface == "matt" and sd.any():
        rows = (laid.by_stray(sd[:, None]) * sd[:, None])[:, None]
        for name, places in by_name(names):
            yield f"surface {name}", places, rows[places]


def root(covariance: Array) -> Array:
    """Rows (k, n) whose product with themselves is a covariance (n, n); directions without variance are dropped.

    >>> import numpy as np
    >>> from stainbook.optics.causes import root
    >>> root(np.diag([4.0, 0.0])).shape
    (1, 2)
    """
    values, vectors = np.linalg.eigh(covariance)
    keep = values > 1e-12
    return np.asarray((vectors[:, keep] * np.sqrt(values[keep])).T)


def by_name(names: Sequence[str]) -> Iterator[tuple[str, Places]]:
    """Each name once, in the order of its first place, with all its places."""
    found: dict[str, list[int]] = {}
    for i, name in enumerate(names):
        found.setdefault(name, []).append(i)
    for name, places in found.items():
        yield name, np.array(places)
