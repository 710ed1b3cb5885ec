"""Few mixes that serve all zones of a case best, in all the layers that they may be laid in.

Which few of many mixes serve best is facility location (Cornuéjols, Nemhauser, Wolsey 1990): a palette is
grown by the mix that helps most, then each of its mixes is exchanged for a better one until none helps.
A mix is judged together with those beside it, over and under them, since two layers of two plain mixes
reach what neither does alone: on the demonstration arch two mixes so chosen do more than four chosen
for their single layers.

A zone is worth the logarithm of its chance, so that the sum over zones is that of all together, over a
floor. One that no mix of all brings there counts by its difference alone: for it no other is given up.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import product

import numpy as np
from numpy.typing import NDArray

from stainbook.match.candidates import Rows, Search
from stainbook.match.guess import chance_within, simplicity
from stainbook.match.layer_options import Options
from stainbook.match.watch import UNWATCHED, Watch
from stainbook.optics.two_by_two import Array
from stainbook.records import Pot

FLOOR = 0.02  # added to each chance before its logarithm
PER_DIFFERENCE = 0.05  # worth of one ΔE00 less: what decides between sure things
TRIED = 96  # mixes tried at each place, the best by their single layers
SETTLED = 6  # mixes up to which each palette on the way is exchanged too, not the last alone
PASSES = 4  # through the places of a palette; two are nearly always enough
_BETTER = 1e-4


@dataclass(frozen=True, slots=True, eq=False)
class Served:
    """One zone: its search, what leaving it is worth, and what each option (n,) is as a single layer."""

    search: Search
    hopeless: bool
    left: float
    single: Array

    def worth(self, rows: Rows) -> Array:
        """(r,) of stacks of options (r, L), -1 for no layer; what may not be laid on is worth nothing at all."""
        found = _worth_of_rows(self.search, rows, self.hopeless)
        allowed = np.append(np.isfinite(self.single), True)  # the last one is no layer
        return np.where(allowed[rows].all(axis=1), found, -np.inf)


def served_of(searches: Sequence[tuple[Search, Array]], hopeless: Sequence[bool]) -> list[Served]:
    """Zones from their searches, the steps (3,) at which leaving them ends, and whether no mix brings them there."""
    return [_served(search, step, lost) for (search, step), lost in zip(searches, hopeless, strict=True)]


def _served(search: Search, step: Array, hopeless: bool) -> Served:
    single = np.full(len(search.options), -np.inf)
    single[search.near.places] = _worth_of_rows(search, search.near.places[:, None], hopeless)
    left = _worth(step[None], search.doubt.rest[None], search.limit, hopeless)
    return Served(search, hopeless, float(left[0]), single)


def _worth_of_rows(search: Search, rows: Rows, hopeless: bool) -> Array:
    steps = search.frame.steps(search.frame.lab(search.frame.ln_xyz(search.response.after(search.piece, rows))))
    return _worth(steps, search.doubt.of(rows), search.limit, hopeless) - simplicity(search.options, rows)


def _worth(steps: Array, covariance: Array, limit: float, hopeless: bool) -> Array:
    expected = np.sqrt(np.einsum("mi,mi->m", steps, steps) + np.einsum("mii->m", covariance))
    near = -PER_DIFFERENCE * expected
    return near if hopeless else np.asarray(np.log(FLOOR + chance_within(steps, covariance, limit)) + near)


def palettes(
    zones: Sequence[Served], options: Options, *, most: int, layers: int, watch: Watch = UNWATCHED
) -> Iterator[tuple[Pot, ...]]:
    """Palettes of 1, 2, … at most ``most`` pots, each grown from the one before; ends when another pot helps nothing.

    Those of more than `SETTLED` pots are exchanged at the last alone.

    Cost for z zones and palettes of up to p pots: each pair of a tried pot and one beside it is worked out once,
    some 2 p x `TRIED` x 2 coats² x z stacks of two layers.
    """
    table = _Table.of(zones, options, layers, watch)
    chosen: list[int] = []
    worth = table.left
    while len(chosen) < min(most, len(table.pots)):
        watch.step("mixes", len(chosen), most)
        place, better = table.best_addition(chosen, worth)
        if better.sum() <= worth.sum() + _BETTER:
            return
        chosen, worth = [*chosen, place], better
        if len(chosen) <= SETTLED or len(chosen) == most:
            chosen, worth = table.exchanged(chosen, worth)
        yield tuple(table.pots[i] for i in chosen)


@dataclass(frozen=True, slots=True, eq=False)
class _Table:
    """What pots are worth to the zones: ``single`` (z, p) is that of each pot's best single layer.

    ``pairs`` holds what was worked out: (z,) of the best two layers of two pots, or twice of one, by their places.
    """

    zones: Sequence[Served]
    pots: tuple[Pot, ...]
    rows: tuple[NDArray[np.int_], ...]  # the options of each pot
    left: Array
    single: Array
    layers: int
    watch: Watch
    pairs: dict[tuple[int, int], Array] = field(default_factory=dict)

    @classmethod
    def of(cls, zones: Sequence[Served], options: Options, layers: int, watch: Watch) -> _Table:
        pots = tuple(dict.fromkeys(layer.pot for layer in options.layers))
        place = {pot: i for i, pot in enumerate(pots)}
        which = np.array([place[layer.pot] for layer in options.layers])
        single = np.full((len(zones), len(pots)), -np.inf)
        np.maximum.at(single.T, which, np.array([zone.single for zone in zones]).T)
        rows = tuple(np.flatnonzero(which == i) for i in range(len(pots)))
        return cls(zones, pots, rows, np.array([zone.left for zone in zones]), single, layers, watch)

    def best_addition(self, chosen: Sequence[int], worth: Array) -> tuple[int, Array]:
        """The pot that helps most beside the chosen ones, and what the zones are then worth (z,)."""
        alone = np.maximum(self.single, worth[:, None]).sum(axis=0)
        alone[list(chosen)] = -np.inf
        tried = np.argsort(-alone, kind="stable")[:TRIED]
        tried = tried[np.isfinite(alone[tried])]
        with_each = np.maximum(worth[:, None], self._with_each(tried, chosen))
        best = int(with_each.sum(axis=0).argmax())
        return int(tried[best]), with_each[:, best]

    def exchanged(self, chosen: list[int], worth: Array) -> tuple[list[int], Array]:
        """The pots with each exchanged for a better one as long as that helps, and what the zones are then worth."""
        for _ in range(PASSES):
            before = worth.sum()
            for i in range(len(chosen)):
                rest = chosen[:i] + chosen[i + 1 :]
                place, better = self.best_addition(rest, self._of_all(rest))
                if better.sum() > worth.sum() + _BETTER:
                    chosen, worth = [*rest, place], better
            if worth.sum() <= before + _BETTER:
                break
        return chosen, worth

    def _of_all(self, chosen: Sequence[int]) -> Array:
        """(z,) with these pots."""
        worth = self.left
        for i, pot in enumerate(chosen):
            worth = np.maximum(worth, self._with_each(np.array([pot]), chosen[:i])[:, 0])
        return worth

    def _with_each(self, tried: NDArray[np.int_], beside: Sequence[int]) -> Array:
        """(z, t) best of the stacks that hold each tried pot, alone or over and under those beside it."""
        best = self.single[:, tried]
        if self.layers < 2:
            return best
        wanted = [[_pair(int(pot), other) for other in (int(pot), *beside)] for pot in tried]
        self._work_out({pair for pairs in wanted for pair in pairs} - self.pairs.keys())
        twice = np.array([np.max([self.pairs[pair] for pair in pairs], axis=0) for pairs in wanted])
        return np.asarray(np.maximum(best, twice.T))

    def _work_out(self, missing: set[tuple[int, int]]) -> None:
        """Take up pairs that were not worked out yet, all of them over each zone at a time."""
        if not missing:
            return
        pairs = sorted(missing)
        stacks = [_stacks(self.rows[one], self.rows[other]) for one, other in pairs]
        starts = np.cumsum([0, *(len(rows) for rows in stacks[:-1])])
        every = np.concatenate(stacks)
        worth = []
        for zone in self.zones:
            self.watch.go_on()
            worth.append(np.maximum.reduceat(zone.worth(every), starts))
        self.pairs.update(zip(pairs, np.array(worth).T, strict=True))


def _pair(one: int, other: int) -> tuple[int, int]:
    return (one, other) if one < other else (other, one)


def _stacks(one: NDArray[np.int_], other: NDArray[np.int_]) -> Rows:
    """Stacks (r, 2) of one pot's options over and under another's; of the same pot, all of its own."""
    over = list(product(one, other))
    return np.array(over if one is other else over + [(b, a) for a, b in over], dtype=int)
