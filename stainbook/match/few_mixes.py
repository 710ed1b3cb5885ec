"""Few mixes that serve all zones of a case best, in all the layers that they may be laid in.

Which few of many mixes serve best is facility location (Cornuéjols, Nemhauser, Wolsey 1990): a palette is
grown by the mix that helps most, then each of its mixes is exchanged for a better one until none helps.
A mix is judged together with those beside it, over and under them, since two layers of two plain mixes
reach what neither does alone: on the demonstration arch two mixes so chosen do more than four chosen
for their single layers.

A zone is worth the logarithm of its chance, so that the sum over zones is that of all together, over a
floor. One that no mix of all brings there counts by its difference alone: for it no other is given up.

Zones are served together (`Kind`): twins take the same layers, gum of one kind the same mixes in the same
order, each zone its own coats. A mix that the lab has to make anew costs a little, one of its stock nothing.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product

import numpy as np
from numpy.typing import NDArray

from stainbook.match.candidates import Rows, Search
from stainbook.match.guess import chance_within, simplicity
from stainbook.match.layer_options import Options
from stainbook.match.lights import in_all
from stainbook.match.sequence import Stages, aims_short
from stainbook.match.watch import UNWATCHED, Watch
from stainbook.optics.two_by_two import Array
from stainbook.records import Pot

FLOOR = 0.02  # added to each chance before its logarithm
PER_DIFFERENCE = 0.05  # worth of one ΔE00 less: what decides between sure things
TRIED = 96  # mixes tried at each place, the best by their single layers
SETTLED = 6  # mixes up to which each palette on the way is exchanged too, not the last alone
PASSES = 4  # through the places of a palette; two are nearly always enough
RESTARTED = 3  # mixes at which the search starts anew from other first mixes, ...
STARTS = 3  # so many, the best of which are followed on
FOLLOWED = 3
NEXT_BEST = 3  # exchanges of each pot of a palette that are handed on with it
MAKING = 0.1  # of worth: what a mix that is not in stock must bring at least
_BETTER = 1e-4


@dataclass(frozen=True, slots=True, eq=False)
class Served:
    """One zone: its search, what leaving it is worth, and what each option (n,) is as a single layer.

    ``stages`` is the surface stain that may follow on an unsintered piece, in how many firings.
    """

    search: Search
    hopeless: bool
    left: float
    single: Array
    stages: Stages | None = None

    def worth(self, rows: Rows) -> Array:
        """(r,) of stacks of options (r, L), -1 for no layer; one that may not be put on is worth nothing at all."""
        found = _worth_of_rows(self.search, rows, self.hopeless, self.stages)
        allowed = np.append(np.isfinite(self.single), True)  # the last one is no layer
        return np.where(allowed[rows].all(axis=1), found, -np.inf)


def served_of(
    searches: Sequence[tuple[Search, Array]], hopeless: Sequence[bool], stages: Sequence[Stages | None] = ()
) -> list[Served]:
    """Zones from their searches, with the steps (3,) at which they end without stain; ``hopeless`` are out of reach."""
    own = stages or [None] * len(hopeless)
    known: dict[tuple[object, ...], Served] = {}  # zones that are one question are served as one
    found = []
    for (search, step), lost, two in zip(searches, hopeless, own, strict=True):
        question = id(search), step.tobytes(), lost, None if two is None else (id(two.corrections), two.firings)
        if question not in known:
            known[question] = _served(search, step, lost, two)
        found.append(known[question])
    return found


def _served(search: Search, step: Array, hopeless: bool, stages: Stages | None) -> Served:
    single = np.full(len(search.options), -np.inf)
    single[search.near.places] = _worth_of_rows(search, search.near.places[:, None], hopeless, stages)
    steps, rest = step[None], search.doubt.rest[None]
    left = _worth(_chance(steps, rest, search.limit, stages), steps, rest, hopeless)
    return Served(search, hopeless, float(left[0]), single, stages)


def _worth_of_rows(search: Search, rows: Rows, hopeless: bool, stages: Stages | None) -> Array:
    after, doubt = search.response.after(search.piece, rows), search.doubt.of(rows)
    lab = search.frame.lab(search.frame.ln_xyz(after))
    steps = search.frame.steps(lab)
    chance = in_all(_chance(steps, doubt, search.limit, stages), search.others, after, doubt, search.limit)
    worth = _worth(chance, steps, doubt, hopeless) - simplicity(search.options, rows)
    return worth if stages is None else np.where(aims_short(search, lab), worth, -np.inf)


def _chance(steps: Array, covariance: Array, limit: float, stages: Stages | None) -> Array:
    two = stages is not None and stages.corrections is not None
    return stages.chance(steps, covariance) if two and stages else chance_within(steps, covariance, limit)


def _worth(chance: Array, steps: Array, covariance: Array, hopeless: bool) -> Array:
    expected = np.sqrt(np.einsum("mi,mi->m", steps, steps) + np.einsum("mii->m", covariance))
    near = np.asarray(-PER_DIFFERENCE * expected)
    return near if hopeless else np.asarray(np.log(FLOOR + chance) + near)


Known = dict[tuple[int, tuple[int, ...], bytes], Array]


@dataclass(frozen=True, slots=True, eq=False)
class Twins:
    """Zones that take the same layers: what these are worth to all of them.

    ``known`` is what was worked out of a zone before, by its place in memory and by the stacks.
    """

    zones: Sequence[Served]
    known: Known = field(default_factory=dict)

    @property
    def left(self) -> float:
        """Of leaving all."""
        return sum(zone.left for zone in self.zones)

    @property
    def single(self) -> Array:
        """(n,) of each option as a single layer."""
        return np.asarray(sum(zone.single for zone in self.zones))

    def worth(self, rows: Rows) -> Array:
        """(r,) of stacks of options (r, L)."""
        return np.asarray(sum(self._of(zone, rows) for zone in self.zones))

    def _of(self, zone: Served, rows: Rows) -> Array:
        question = id(zone), rows.shape, rows.tobytes()
        if question not in self.known:
            self.known[question] = zone.worth(rows)
        return self.known[question]


Kind = Sequence[Twins]  # served by one order of mixes: gum of one kind; of teeth one group of twins


@dataclass(frozen=True, slots=True)
class FewMixes:
    """Some mixes, and what they are worth to all zones, less what making them costs."""

    pots: tuple[Pot, ...]
    worth: float


def each_alone(zones: Sequence[Served]) -> list[Kind]:
    """Kinds of one zone each: each zone is served for itself."""
    return [(Twins((zone,)),) for zone in zones]


def palettes(
    kinds: Sequence[Kind],
    options: Options,
    *,
    most: int,
    layers: int,
    stock: Collection[Pot] = (),
    cost: float = 0.0,
    barred: Collection[Pot] = (),
    watch: Watch = UNWATCHED,
) -> list[list[FewMixes]]:
    """Palettes of 1, 2, … at most ``most`` mixes, the best first; ends when another mix helps nothing.

    Each is grown from one of a mix less; those of more than `SETTLED` mixes are exchanged at the last alone. At
    `RESTARTED` mixes it starts anew from other first mixes, and the best `FOLLOWED` are grown on.

    Parameters
    ----------
    kinds : the zones, in groups that are served together
    options : layers, one mix each
    layers : at most on a zone
    stock : mixes that stand ready; the others are worth ``cost`` less each
    barred : mixes that may not be taken: those of the other tissue, for no mix serves both

    Cost for z zones and palettes of up to p mixes: each pair of a tried mix and one beside it is worked out once,
    some 2 p x `TRIED` x 2 coats² x z stacks of two layers.
    """
    costs = {pot: cost for pot in _pots(options) if pot not in stock} | dict.fromkeys(barred, np.inf)
    table = _Table.of(kinds, options, layers, watch, costs)
    beam: list[list[int]] = [[]]
    found: list[list[FewMixes]] = []
    while len(found) < min(most, len(table.pots)):
        watch.step("mixes", len(found), most)
        size = len(found) + 1
        settle = size <= SETTLED or size == most
        grown = [one for chosen in beam for one in table.grown(chosen, settle=settle)]
        if size == RESTARTED and grown:
            grown += [one for first in table.firsts(STARTS) for one in table.started(first, size)]
        beam = _best_few(table, grown)
        if not beam:
            break
        beside = [one for chosen in beam for one in table.beside(chosen)] if settle else []
        found.append([table.palette(chosen) for chosen in _each_once([*beam, *beside])])
    return found


def _each_once(some: Sequence[list[int]]) -> list[list[int]]:
    each: dict[frozenset[int], list[int]] = {}
    for one in some:
        each.setdefault(frozenset(one), one)
    return list(each.values())


def _best_few(table: _Table, grown: Sequence[list[int]]) -> list[list[int]]:
    return sorted(_each_once(grown), key=lambda one: -table.value(one))[:FOLLOWED]


def _pots(options: Options) -> tuple[Pot, ...]:
    return tuple(dict.fromkeys(layer.pot for layer in options.layers))


@dataclass(frozen=True, slots=True, eq=False)
class _Table:
    """What pots are worth to the kinds, g of them in u groups of twins.

    ``left`` (u,) and ``single`` (u, p) are those of leaving a group and of each pot's best single layer on it;
    ``pairs`` holds what was worked out: (g,) of the best two layers of two pots, the first below; ``cost`` (p,).
    """

    twins: Sequence[Twins]
    kind: NDArray[np.int_]  # (g,) the first group of each kind
    pots: tuple[Pot, ...]
    rows: tuple[NDArray[np.int_], ...]  # the options of each pot
    options: Options
    left: Array
    single: Array
    cost: Array
    layers: int
    watch: Watch
    pairs: dict[tuple[int, int], Array] = field(default_factory=dict)

    @classmethod
    def of(
        cls, kinds: Sequence[Kind], options: Options, layers: int, watch: Watch, cost: Mapping[Pot, float]
    ) -> _Table:
        pots, twins = _pots(options), [one for kind in kinds for one in kind]
        place = {pot: i for i, pot in enumerate(pots)}
        which = np.array([place[layer.pot] for layer in options.layers])
        single = np.full((len(twins), len(pots)), -np.inf)
        np.maximum.at(single.T, which, np.array([one.single for one in twins]).T)
        left = np.array([one.left for one in twins])
        rows = tuple(np.flatnonzero(which == i) for i in range(len(pots)))
        starts = np.cumsum([0, *(len(kind) for kind in kinds[:-1])])
        costs = np.array([cost.get(pot, 0.0) for pot in pots])
        single = np.maximum(single, left[:, None])
        return cls(twins, starts, pots, rows, options, left, single, costs, layers, watch)

    # ------------------------------------------------------------ of a palette

    def palette(self, chosen: Sequence[int]) -> FewMixes:
        return FewMixes(tuple(self.pots[i] for i in chosen), self.value(chosen))

    def value(self, chosen: Sequence[int]) -> float:
        """What the zones are worth with these pots, less what making them costs."""
        return float(self._of_all(chosen).sum() - self.cost[list(chosen)].sum())

    def firsts(self, count: int) -> list[int]:
        """The pots that help most by their single layers, after the best."""
        alone = self._by_kind(self.single).sum(axis=0) - self.cost
        return [int(i) for i in np.argsort(-alone, kind="stable")[1 : 1 + count]]

    def started(self, first: int, size: int) -> list[list[int]]:
        """A palette of so many pots that began with this one; none where it cannot be grown so far."""
        chosen = [first]
        while len(chosen) < size:
            grown = self.grown(chosen, settle=len(chosen) + 1 == size)
            if not grown:
                return []
            chosen = grown[0]
        return [chosen]

    def beside(self, chosen: Sequence[int]) -> list[list[int]]:
        """The palettes in which one pot is exchanged for one of the next best: the forecast may like them better."""
        found = []
        for i in range(len(chosen)):
            rest = [*chosen[:i], *chosen[i + 1 :]]
            tried, gains = self._additions(rest, self._of_all(rest))
            order = np.argsort(-gains, kind="stable")[: NEXT_BEST + 1]
            found += [[*rest, int(tried[at])] for at in order if int(tried[at]) != chosen[i]]
        return found

    def grown(self, chosen: Sequence[int], *, settle: bool) -> list[list[int]]:
        """The pots with the one more that helps most, exchanged where they are to settle; none where none helps."""
        worth = self._of_all(chosen)
        place, gain = self._best_addition(chosen, worth)
        if gain <= _BETTER:
            return []
        found = [*chosen, place]
        return [self._exchanged(found) if settle else found]

    def _best_addition(self, chosen: Sequence[int], worth: Array) -> tuple[int, float]:
        """The pot that helps most beside the chosen ones, and by how much, less its cost."""
        tried, gains = self._additions(chosen, worth)
        best = int(gains.argmax()) if len(gains) else -1
        return (int(tried[best]), float(gains[best])) if best >= 0 else (-1, 0.0)

    def _additions(self, chosen: Sequence[int], worth: Array) -> tuple[NDArray[np.int_], Array]:
        """The pots (t,) that are tried beside the chosen ones, and what each brings (t,), less its cost."""
        single = self._by_kind(self.single)
        alone = np.maximum(single, worth[:, None]).sum(axis=0) - self.cost
        alone[list(chosen)] = -np.inf
        tried = np.argsort(-alone, kind="stable")[:TRIED]
        tried = tried[np.isfinite(alone[tried])]
        if not len(tried):
            return tried, np.empty(0)
        with_each = np.maximum(worth[:, None], self._with_each(tried, chosen)).sum(axis=0)
        return tried, np.asarray(with_each - self.cost[tried] - worth.sum())

    def _exchanged(self, chosen: list[int]) -> list[int]:
        """The pots with each exchanged for a better one as long as that helps."""
        for _ in range(PASSES):
            before = value = self.value(chosen)
            for i in range(len(chosen)):
                rest = chosen[:i] + chosen[i + 1 :]
                worth = self._of_all(rest)
                place, gain = self._best_addition(rest, worth)
                better = float(worth.sum() - self.cost[rest].sum()) + gain
                if place >= 0 and better > value + _BETTER:
                    chosen, value = [*rest, place], better
            if value <= before + _BETTER:
                break
        return chosen

    # ------------------------------------------------------------ of stacks

    def _by_kind(self, of_twins: Array) -> Array:
        """(g, …) sums over the groups of twins (u, …) of each kind."""
        return np.add.reduceat(of_twins, self.kind, axis=0)

    def _of_all(self, chosen: Sequence[int]) -> Array:
        """(g,) with these pots."""
        worth = self._by_kind(self.left)
        for i, pot in enumerate(chosen):
            worth = np.maximum(worth, self._with_each(np.array([pot]), chosen[:i])[:, 0])
        return worth

    def _with_each(self, tried: NDArray[np.int_], beside: Sequence[int]) -> Array:
        """(g, t) best of the stacks that hold each tried pot, alone or over and under those beside it."""
        best = self._by_kind(self.single[:, tried])
        if self.layers < 2:
            return best
        wanted = [[pair for other in (int(pot), *beside) for pair in _orders(int(pot), other)] for pot in tried]
        self._work_out({pair for pairs in wanted for pair in pairs} - self.pairs.keys())
        twice = np.array([np.max([self.pairs[pair] for pair in pairs], axis=0) for pairs in wanted])
        return np.asarray(np.maximum(best, twice.T))

    def _work_out(self, missing: set[tuple[int, int]]) -> None:
        """Take up pairs that were not worked out yet, all of them over each group at a time."""
        pairs = [pair for pair in sorted(missing) if self._fit(pair)]
        nothing = np.full(len(self.kind), -np.inf)
        self.pairs.update(dict.fromkeys(missing, nothing))
        if not pairs:
            return
        stacks = [self._stacks(pair) for pair in pairs]
        starts = np.cumsum([0, *(len(rows) for rows in stacks[:-1])])
        every = np.concatenate(stacks)
        worth, known = [], Known()  # of these stacks, which are looked at once
        for one in self.twins:
            self.watch.go_on()
            worth.append(np.maximum.reduceat(Twins(one.zones, known).worth(every), starts))
        lower = self.single[:, [pair[0] for pair in pairs]]  # a zone may take the lower mix alone, or none
        self.pairs.update(zip(pairs, self._by_kind(np.maximum(np.array(worth), lower)).T, strict=True))

    def _fit(self, pair: tuple[int, int]) -> bool:
        return len(self._stacks(pair)) > 0

    def _stacks(self, pair: tuple[int, int]) -> Rows:
        """Stacks (r, 2) of the options of one pot under those of another, within the coats of a zone."""
        both = np.array(list(product(self.rows[pair[0]], self.rows[pair[1]])), dtype=int)
        return np.asarray(both[self.options.coats[both].sum(axis=1) <= self.options.in_all])


def _orders(one: int, other: int) -> tuple[tuple[int, int], ...]:
    return ((one, other),) if one == other else ((one, other), (other, one))
