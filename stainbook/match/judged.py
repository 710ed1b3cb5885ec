"""Palettes judged by the forecast itself: all zones together, draw by draw.

The guess that finds palettes (`few_mixes`) orders the best of them badly, so the few best are forecast in full
and judged by what the case becomes. What was forecast of a zone once is kept.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import permutations

import numpy as np
from numpy.typing import NDArray

from stainbook.match.choosing import Chain, StepsTaken, taken
from stainbook.match.few_mixes import MAKING, FewMixes, Kind, Known, Served, Twins, palettes, served_of
from stainbook.match.layer_options import Options
from stainbook.match.moves import TOGETHER, Field, Listed, Ready, Tried, forecast_lists, searches_of, stages_of
from stainbook.match.one_piece import OnePiece
from stainbook.match.problem import Bench
from stainbook.match.settling import Together, roughness, settled, together, value
from stainbook.match.watch import Watch
from stainbook.records import Layers, Pot

SHORT = 8  # stacks of a zone that get a full forecast: of few mixes there are not many
SINGLES = 3  # of one layer among them at least
DEEP = 150  # stacks on which a third and further layer are tried
CHAINS = 2  # orders of mixes tried on gum of one kind
PASSES = 6  # more than any piece takes
JUDGED = 6  # palettes


@dataclass(frozen=True, slots=True, eq=False)
class Painting:
    """A palette as it would be painted: what was tried on each zone, the step taken, and what it is worth."""

    fields: Sequence[Field]
    steps: StepsTaken
    together: Together
    value: float


@dataclass(frozen=True, slots=True, eq=False)
class Lists:
    """The stacks of one kind for one palette: of each group of twins, and the orders of mixes they follow."""

    stacks: Sequence[Sequence[Layers]]
    chains: Sequence[Chain]


@dataclass(slots=True, eq=False)
class Judge:
    """The zones of a piece, and what was forecast of them already.

    ``served`` is what the guess has of each zone; ``tried`` holds its forecasts by layers, () is leaving it.
    """

    bench: Bench
    ready: Ready
    options: Options
    piece: OnePiece
    within_reach: Sequence[bool]
    served: Sequence[Served]
    watch: Watch
    tried: list[dict[Layers, Tried]] = field(default_factory=list)
    known: Known = field(default_factory=dict)

    @classmethod
    def of(
        cls,
        bench: Bench,
        ready: Ready,
        options: Options,
        fields: Sequence[Field],
        within_reach: Sequence[bool],
        watch: Watch,
    ) -> Judge:
        """``fields`` are forecasts that were made before."""
        stages = [stages_of(bench, ready, i) for i in range(len(ready.problems))]
        served = served_of(searches_of(ready), [not one for one in within_reach], stages)
        piece = OnePiece.of(ready.problems, ready.frames)
        tried = [{move.layers: move for move in one.all} for one in fields]
        return cls(bench, ready, options, piece, within_reach, served, watch, tried)

    def tissues(self) -> list[str]:
        """Teeth and gum, whichever are there: no mix serves both."""
        return list(dict.fromkeys(one.tissue for one in self.ready.problems))

    def palettes(self, most: int, *, ready_alone: bool = False) -> dict[str, list[list[FewMixes]]]:
        """By tissue the palettes of no, 1, 2, … mixes, the best first by the guess; of mixes that stand ready alone."""
        stock = set(self.bench.stock.values())
        barred = {layer.pot for layer in self.options.layers} - stock if ready_alone else ()
        found = {}
        for tissue in self.tissues():
            kinds = [
                kind
                for at in range(len(self.piece.kinds))
                if self._tissue(at) == tissue and (kind := self._counted(at))
            ]
            if not kinds:
                found[tissue] = [[FewMixes((), 0.0)]]
                continue
            left = sum(twins.left for kind in kinds for twins in kind)
            grown = palettes(
                kinds, self.options, most=most, layers=1 if ready_alone else self.bench.limits.passes, stock=stock,
                cost=MAKING, barred=barred, watch=self.watch,
            )  # fmt: skip
            found[tissue] = [[FewMixes((), left)], *grown]
        return found

    def painted(self, pots: Sequence[Mapping[str, Sequence[Pot]]], *, passes: int | None = None) -> list[Painting]:
        """Palettes, each by tissue, as they would be painted; in as many passes as pay, or at most so many."""
        kinds = range(len(self.piece.kinds))
        lists = [[self._lists(at, some[self._tissue(at)]) for at in kinds] for some in pots]
        self._forecast(lists)
        return [self._best(one, min(passes or PASSES, self.bench.limits.passes)) for one in lists]

    # ------------------------------------------------------------ what is tried

    def _tissue(self, kind: int) -> str:
        return self.ready.problems[self.piece.twins[self.piece.kinds[kind][0]][0]].tissue

    def _kind(self, kind: int) -> Kind:
        return [Twins([self.served[i] for i in self.piece.twins[at]], self.known) for at in self.piece.kinds[kind]]

    def _counted(self, kind: int) -> Kind:
        """Without zones whose number is a hint: no mix is made for them."""
        counts = [zone.counts for zone in self.ready.problems]
        groups = [[self.served[i] for i in self.piece.twins[at] if counts[i]] for at in self.piece.kinds[kind]]
        return [Twins(zones, self.known) for zones in groups if zones]

    def _lists(self, kind: int, pots: Sequence[Pot]) -> Lists:
        own = sorted(i for pot in set(pots) for i in self.options.of_pot.get(pot, ()))
        groups = self._kind(kind)
        if not own:
            return Lists([()] * len(groups), ())
        if self._tissue(kind) != "gingiva":
            return Lists([self._short(twins, self._stacks(twins, np.array(own))) for twins in groups], ())
        chains = self._chains(groups, own)
        found: list[list[Layers]] = [[] for _ in groups]
        for chain in chains:
            rows = self._of_chain(chain)
            for at, twins in enumerate(groups):
                if self._may_take(self.piece.twins[self.piece.kinds[kind][at]]):
                    found[at] += self._short(twins, rows)
        return Lists(found, chains)

    def _may_take(self, gum: Sequence[int]) -> bool:
        """Whether gum takes anything: no liquid is tried on what no liquid brings there."""
        return not self.bench.soaks or any(self.within_reach[i] for i in gum)

    def _stacks(self, twins: Twins, own: NDArray[np.int_]) -> NDArray[np.int_]:
        """(r, L) of some options: all of one and two layers, further ones on the best."""
        rows = own[:, None]
        every = [rows]
        for _ in range(1, self.bench.limits.passes):
            if len(rows) > DEEP:
                rows = rows[np.argsort(-twins.worth(rows), kind="stable")[:DEEP]]
            rows = np.concatenate([np.repeat(rows, len(own), axis=0), np.tile(own, len(rows))[:, None]], axis=1)
            rows = rows[self.options.coats[rows].sum(axis=1) <= self.options.in_all]
            every.append(rows)
        return np.concatenate(
            [np.pad(one, ((0, 0), (0, len(every) - one.shape[1])), constant_values=-1) for one in every]
        )

    def _chains(self, groups: Kind, own: Sequence[int]) -> list[Chain]:
        """The orders of mixes that serve gum of one kind best by the guess; the best single mix among them."""
        pots = list(dict.fromkeys(self.options.layers[i].pot for i in own))
        some: list[Chain] = [(pot,) for pot in pots]
        if self.bench.limits.passes > 1:
            some += list(permutations(pots, 2))
        worth = {chain: sum(self._worth(twins, chain) for twins in groups) for chain in some}
        order = sorted(some, key=lambda chain: -worth[chain])
        single = next(chain for chain in order if len(chain) == 1)
        return list(dict.fromkeys([*order[: CHAINS - 1], single]))

    def _worth(self, twins: Twins, chain: Chain) -> float:
        return max(twins.left, float(twins.worth(self._of_chain(chain)).max()))

    def _of_chain(self, chain: Chain) -> NDArray[np.int_]:
        """(r, 2) of the mixes of a chain: the lower alone, or both."""
        rows = [self.options.of_pot[pot] for pot in chain]
        both = [(i, j) for i in rows[0] for j in (rows[1] if len(rows) > 1 else ())]
        every = np.array([*((i, -1) for i in rows[0]), *both], dtype=int)
        coats = np.where(every >= 0, self.options.coats[every], 0.0).sum(axis=1)
        return np.asarray(every[coats <= self.options.in_all])

    def _short(self, twins: Twins, rows: NDArray[np.int_]) -> list[Layers]:
        """The likeliest stacks by the guess, some of one layer among them."""
        worth = twins.worth(rows)
        order = [int(i) for i in np.argsort(-worth, kind="stable") if np.isfinite(worth[i])]
        single = [i for i in order if rows.shape[1] == 1 or rows[i, 1] < 0][:SINGLES]
        return [self.options.stack(rows[i]) for i in dict.fromkeys([*order[: SHORT - len(single)], *single])]

    # ------------------------------------------------------------ what becomes of it

    def _forecast(self, palettes: Sequence[Sequence[Lists]]) -> None:
        """Forecast what was not forecast before, some zones at a time."""
        missing: dict[int, dict[Layers, None]] = {}
        for lists in palettes:
            for i, stacks in self._by_zone(lists):
                new = (layers for layers in stacks if layers not in self.tried[i])
                missing.setdefault(i, {}).update(dict.fromkeys(new))
        wanted = [Listed(i, [(), *stacks], [-1] * (len(stacks) + 1)) for i, stacks in sorted(missing.items()) if stacks]
        for start in range(0, len(wanted), TOGETHER):
            self.watch.step("forecast", start, len(wanted))
            some = wanted[start : start + TOGETHER]
            for listed, found in zip(some, forecast_lists(self.bench, self.ready, some), strict=True):
                self.tried[listed.place].update({move.layers: move for move in found.adds})

    def _by_zone(self, lists: Sequence[Lists]) -> Iterator[tuple[int, Sequence[Layers]]]:
        for kind, one in zip(self.piece.kinds, lists, strict=True):
            for at, stacks in zip(kind, one.stacks, strict=True):
                for i in self.piece.twins[at]:
                    yield i, stacks

    def _best(self, lists: Sequence[Lists], passes: int) -> Painting:
        """The palette with as many passes over the piece as pay."""
        stacks = dict(self._by_zone(lists))
        fields = [self._field(i, stacks[i]) for i in range(len(self.ready.problems))]
        chains = [one.chains for one in lists]
        return max(
            (self._painting(fields, chains, most) for most in range(1, passes + 1)),
            key=lambda one: one.value,
        )

    def _field(self, place: int, stacks: Sequence[Layers]) -> Field:
        own = self.tried[place]
        adds = tuple(own[layers] for layers in dict.fromkeys(stacks))
        return Field(self.ready.problems[place], self.ready.frames[place], own[()], adds)

    def _painting(self, fields: Sequence[Field], chains: Sequence[Sequence[Chain]], most: int) -> Painting:
        steps = taken(fields, self.piece, chains, most)
        orders = [self._order(kind, steps) if some else None for kind, some in enumerate(chains)]
        steps = settled(fields, self.piece, steps, orders, self.within_reach)
        found = together(steps.moves, self.within_reach, set(self.bench.stock.values()))
        jumps = roughness(fields, self.piece, steps.moves) * len(self.piece.neighbours)
        return Painting(fields, steps, found, value(found, steps.moves, jumps))

    def _order(self, kind: int, steps: StepsTaken) -> Chain:
        """The order of mixes on gum of one kind."""
        places = (i for at in self.piece.kinds[kind] for i in self.piece.twins[at])
        return max((tuple(layer.pot for layer in steps.moves[i].layers) for i in places), key=len)
