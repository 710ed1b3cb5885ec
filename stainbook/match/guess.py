"""A quick guess of the odds of many candidates, good enough to choose which are worth a forecast.

All in the target's space, where length is ΔE00: a candidate ends at a step from the target, with a
covariance. The square of its ΔE00 is a sum of scaled chi-squares, met by one scaled chi-square of
the same mean and variance, whose cube root is all but normal (Wilson, Hilferty 1931).
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stainbook.match.layer_options import Options
from stainbook.match.problem import Bench
from stainbook.optics.causes import shift_sd
from stainbook.optics.forecast import ForecastRequest, Start
from stainbook.optics.two_by_two import Array
from stainbook.records import Layer, Pot


def chance_within(step: Array, covariance: Array, limit: float) -> Array:
    """(m,) chance that a colour ends within ``limit`` ΔE00 of the target.

    Parameters
    ----------
    step : (m, 3) from the target to the likeliest colour, in the target's space
    covariance : (m, 3, 3) about it
    """
    distance = np.einsum("mi,mi->m", step, step)
    mean = distance + np.einsum("mii->m", covariance)
    square = np.einsum("mij,mij->m", covariance, covariance)
    along = np.einsum("mi,mij,mj->m", step, covariance, step)
    third = 2.0 * (2.0 * square + 4.0 * along) / (9.0 * np.maximum(mean, 1e-12) ** 2)  # 2 / 9 of var / mean²
    spread = np.sqrt(np.maximum(third / 2.0, 1e-12))
    z = ((limit**2 / np.maximum(mean, 1e-12)) ** (1.0 / 3.0) - 1.0 + third / 2.0) / spread
    return np.asarray(1.0 / (1.0 + np.exp(-1.702 * np.clip(z, -30.0, 30.0))))  # the normal integral, within 0.01


@dataclass(frozen=True, slots=True, eq=False)
class OptionDoubt:
    """Covariance (n, 3, 3) of ln X, Y, Z of each option, and the variance (n,) of ln of what is put on."""

    unlearnt: Array  # what chips, lots and hands leave open: the same in every firing
    amount: Array  # coat by coat and firing by firing, and what the model cannot follow


def option_doubt(bench: Bench, options: Options, start: Start, weights: Array) -> OptionDoubt:
    """The doubt of each option on one piece; stains of a mix count as if each were alone.

    ``weights`` (31, 3) turn reflectance to X, Y, Z.
    """
    singles = sorted({(name, share, layer.coats) for layer in options.layers for name, share in layer.pot.shares})
    place = {single: i for i, single in enumerate(singles)}
    stacks = [(Layer(Pot.of({name: share}), coats),) for name, share, coats in singles]
    wanted = [ForecastRequest(start, stack, True, "", weights) for stack in stacks]
    view = bench.forecasts(wanted)
    learnt = np.zeros((len(singles), 3, 3))
    for source, parts in view.sources.items():
        if source.split(" ")[0] in ("fit", "lot", "operator", "learnt"):
            for rows, values in parts:
                learnt[rows] += np.swapaxes(values, 1, 2) @ values
    unlearnt = np.zeros((len(options), 3, 3))
    for i, layer in enumerate(options.layers):
        for name, share in layer.pot.shares:
            unlearnt[i] += learnt[place[name, share, layer.coats]]
    amount = bench.hand_scatter**2 / options.coats + bench.hands.firing**2 + shift_sd(bench.optics.unstated.share) ** 2
    return OptionDoubt(unlearnt, amount)


@dataclass(frozen=True, slots=True, eq=False)
class ZoneDoubt:
    """The options' doubt in the space of one zone's target: covariance (n, 3, 3) of each, (3, 3) of the rest."""

    options: Array
    rest: Array

    def of(self, rows: NDArray[np.int_]) -> Array:
        """(r, 3, 3) of stacks of options (r, L), -1 for no layer; layers count as independent."""
        out = np.repeat(self.rest[None], len(rows), axis=0)
        for layer in range(rows.shape[1]):
            on = rows[:, layer] >= 0
            out[on] += self.options[rows[on, layer]]
        return out


def zone_doubt(doubt: OptionDoubt, shifts: Array, to_space: Array, rest: Array, *, known: float = 0.0) -> ZoneDoubt:
    """Doubt of options, in the target's space, where they shift the colour by ``shifts`` (n, 3).

    ``to_space`` (3, 3) takes ln X, Y, Z there, ``rest`` (3, 3) is the doubt of all but the options; ``known`` is the
    share of the unlearnt variance that an earlier firing of this zone has shown.
    """
    mapped = doubt.unlearnt.reshape(-1, 9) @ np.kron(to_space, to_space)  # each Tᵀ C T, as one product
    own = (1.0 - known) * mapped.reshape(-1, 3, 3)
    hand = doubt.amount[:, None, None] * shifts[:, :, None] * shifts[:, None, :]
    return ZoneDoubt(own + hand, rest)


def simplicity(options: Options, rows: NDArray[np.int_]) -> Array:
    """(r,) a penalty for every layer, stain and coat of stacks (r, L): it decides between like chances."""
    on = rows >= 0
    stains = ((options.stains[rows] >= 0) & on[..., None]).sum(axis=(1, 2))
    coats = np.where(on, options.coats[rows], 0.0).sum(axis=1)
    return np.asarray(0.01 * on.sum(axis=1) + 0.004 * stains + 0.002 * coats)


def score(chance: Array, step: Array, covariance: Array, extra: Array | float) -> Array:
    """(m,) higher is better: the chance (m,), then closeness of the step (m, 3), then simplicity."""
    expected = np.sqrt(np.einsum("mi,mi->m", step, step) + np.einsum("mii->m", covariance))
    return np.asarray(chance - 0.05 * expected - extra)


def top(scores: Array, count: int) -> NDArray[np.int_]:
    """Places of the ``count`` highest scores, highest first; of equal ones the first."""
    places = np.argpartition(-scores, count)[:count] if len(scores) > count else np.arange(len(scores))
    places = np.sort(places)
    return places[np.argsort(-scores[places], kind="stable")]


def diverse(kinds: Iterable[Hashable], most: int, each: int) -> list[int]:
    """Places of the first ``most`` of ``kinds`` in order, at most ``each`` of one kind; any others if those are few."""
    seen: dict[Hashable, int] = {}
    chosen: list[int] = []
    left: list[int] = []
    for place, kind in enumerate(kinds):
        seen[kind] = seen.get(kind, 0) + 1
        (chosen if seen[kind] <= each else left).append(place)
        if len(chosen) == most:
            break
    return sorted((chosen + left)[:most])
