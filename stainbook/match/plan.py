"""A palette for a whole case: few mixes for all zones in one firing, and which of them go on each zone.

The mixes are those of `exchange`; every zone is then searched again with these alone and forecast in full.
For a whole case a zone's chance counts more finely than for itself: forty zones at 0.98 are all accepted
in 45 of 100 cases, at 0.995 in 82. So a zone takes the surest of its moves, where being accepted only
after another firing counts half, and gives little of that away for simplicity.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from stainbook.match.few_mixes import palettes, served_of
from stainbook.match.layer_options import Options, options_of
from stainbook.match.moves import Field, Ready, Tried, all_accepted, ready_for, searches_of, try_all
from stainbook.match.offer import no_firing_reason
from stainbook.match.problem import Bench, Key, ZoneProblem, equal_zones
from stainbook.match.rank import CHANCE_TIE, first_of
from stainbook.match.reasons import Reason, ZoneNote
from stainbook.match.verdict import reached
from stainbook.match.watch import UNWATCHED, Watch
from stainbook.match.why import why
from stainbook.records import Pot

DEFAULT_POTS = 4
SHORT = 8  # stacks of a zone that get a full forecast: of few mixes there are not many
LATER = 0.5  # what a zone counts that is accepted only after a further firing
GIVEN_AWAY = 0.005  # chance that a zone gives away for fewer layers, mixes and coats

LOST_CHANCE = 0.02  # of being accepted within the firings left, and ...
LOST_DIFFERENCE = 0.15  # ... expected ΔE00 that a step may lose against leaving the zone (law 5)

PlanVerdict = Literal["stain", "leave", "out of reach", "no firing"]


@dataclass(frozen=True, slots=True)
class Together:
    """Chance that all zones that stain can bring there are accepted, after this firing and within those left."""

    mixes: int
    accept: float
    accept_within: float

    @property
    def counts(self) -> float:
        """What they are worth together: accepted only after a further firing counts half."""
        return _counts(self.accept, self.accept_within)


@dataclass(frozen=True, slots=True, eq=False)
class ZonePlan:
    """What goes on one zone, what it becomes, and whether stain brings it there at all.

    ``best`` is its chance with as many mixes as it could wish for.
    """

    key: Key
    tissue: str
    verdict: PlanVerdict
    move: Tried
    why: Reason | ZoneNote
    best: float


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """The mixes, most used first, and the zones as they were given.

    ``accept`` and ``accept_within`` hold for all zones, ``together`` for those that stain can bring there;
    ``unlimited`` is that with as many mixes as the zones could wish for, ``trade_off`` with few, by their number.
    """

    pots: tuple[Pot, ...]
    accept: float
    accept_within: float
    zones: tuple[ZonePlan, ...]
    together: Together
    unlimited: Together
    trade_off: tuple[Together, ...] = ()
    no_stain: bool = False  # none that this material and stage bear is on the list


def plan_case(
    bench: Bench,
    problems: Sequence[ZoneProblem],
    *,
    stage: str | None = None,
    most: int | None = None,
    trade_off: Iterable[int] = (),
    watch: Watch = UNWATCHED,
) -> Plan:
    """One palette for all zones of a case, in one firing.

    Parameters
    ----------
    stage : of the piece, a word of formats.md
    most : mixes; the case's own limit when None, else `DEFAULT_POTS`
    trade_off : numbers of mixes whose chance is wanted too; each costs a forecast of all zones
    watch : is told how far the work is
    """
    reason = no_firing_reason(stage, bench.limits.firings_left)
    pots = [] if reason else bench.pots
    if not pots:
        return _without(bench, problems, reason)
    every = options_of(pots, bench.limits.coats)
    ready = ready_for(bench, problems, every, watch=watch)
    unlimited = _Chosen.of(try_all(bench, problems, every, short=SHORT, watch=watch, ready=ready))
    count = most or bench.limits.pots or DEFAULT_POTS
    sizes = sorted({count, *trade_off})
    palette = _Palettes.grown(bench, ready, every, unlimited, sizes[-1], watch)
    best, together = {}, {}
    for place, n in enumerate(sizes):
        watch.step("forecast", place, len(sizes))
        best[n] = palette.best(n, unlimited.reached)
        together[n] = _together(best[n].moves, unlimited.reached)
        fewer = sizes[sizes.index(n) - 1] if n > sizes[0] else n
        if together[fewer].counts >= together[n].counts:  # the guess that chose the mixes is not the forecast
            best[n], together[n] = best[fewer], together[fewer]
    told = zip(best[count].fields, best[count].moves, unlimited.reached, unlimited.moves, strict=True)
    return Plan(
        pots=_pots_of(best[count].moves),
        accept=all_accepted([move.hits for move in best[count].moves]),
        accept_within=all_accepted([move.within for move in best[count].moves]),
        zones=tuple(_zone(bench, *one) for one in told),
        together=together[count],
        unlimited=_together(unlimited.moves, unlimited.reached),
        trade_off=tuple(dict.fromkeys(together[n] for n in sorted(set(trade_off)))),
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Chosen:
    """Fields, the move taken on each, and whether stain can bring it there."""

    fields: Sequence[Field]
    moves: Sequence[Tried]
    reached: Sequence[bool]

    @classmethod
    def of(cls, fields: Sequence[Field]) -> _Chosen:
        moves = same_on_equal_zones(fields, [surest(field) for field in fields], surest)
        order = {pot: place for place, pot in enumerate(_pots_of(moves))}
        tidy = [_tidied(field, move, order) for field, move in zip(fields, moves, strict=True)]
        same = dict(zip((field.problem.key for field in fields), tidy, strict=True))
        tidy = same_on_equal_zones(fields, tidy, lambda field: same[field.problem.key])
        return cls(fields, tidy, [reached(field.all) for field in fields])


def surest(field: Field) -> Tried:
    """The move that a whole case takes on a zone; left as it is when that is about as sure as any stain."""
    counts = [_counts(move.accept, move.accept_within) for move in field.all]
    if counts[0] >= max(counts) - CHANCE_TIE and field.leave.accept >= 1.0 - CHANCE_TIE:
        return field.leave
    near = [move for move, one in zip(field.all, counts, strict=True) if one >= max(counts) - GIVEN_AWAY]
    found = first_of(near) if max(counts) > GIVEN_AWAY else min(near, key=lambda move: move.dE00)
    return found if no_worse(found, field.leave) else field.leave


def no_worse(move: Tried, leave: Tried) -> bool:
    """Whether a step makes a zone no worse than leaving it, by chance and by expected ΔE00."""
    return move.accept_within >= leave.accept_within - LOST_CHANCE and move.dE00 <= leave.dE00 + LOST_DIFFERENCE


def same_on_equal_zones(
    fields: Sequence[Field], moves: Sequence[Tried], choose: Callable[[Field], Tried]
) -> list[Tried]:
    """The moves with one and the same on all zones of one reading and one target: luck of draws tells none apart.

    choose : the move of a zone among those that all of its equals were tried with
    """
    found = list(moves)
    for group in equal_zones([field.problem for field in fields]):
        places = sorted(group, key=lambda i: fields[i].problem.key)
        common = set.intersection(
            *({one.layers for one in fields[i].all if no_worse(one, fields[i].leave)} for i in places)
        )
        first = fields[places[0]]
        layers = choose(replace(first, adds=tuple(one for one in first.adds if one.layers in common))).layers
        if layers not in common:
            continue
        for i in places:
            found[i] = next(one for one in fields[i].all if one.layers == layers)
    return found


def _tidied(field: Field, move: Tried, order: Mapping[Pot, int]) -> Tried:
    """The same layers with the mixes in one order on all zones, where that is as sure: layers all but commute."""
    wanted = tuple(sorted(move.layers, key=lambda layer: (order[layer.pot], layer.coats)))
    least = _counts(move.accept, move.accept_within) - GIVEN_AWAY
    alike = (
        one
        for one in field.adds
        if one.layers == wanted
        and _counts(one.accept, one.accept_within) >= least
        and (no_worse(one, field.leave) or not no_worse(move, field.leave))
    )
    return next(alike, move)


def _counts(accept: float, accept_within: float) -> float:
    return LATER * accept_within + (1.0 - LATER) * accept


@dataclass(slots=True, eq=False)
class _Palettes:
    """Palettes of 1, 2, … mixes for the teeth and for the gum, each on its own: no mix serves both.

    ``places`` are the zones of each tissue, ``found`` its palettes, ``laid`` what was forecast of them already.
    """

    bench: Bench
    problems: Sequence[ZoneProblem]
    places: Sequence[Sequence[int]]
    found: Sequence[Sequence[tuple[Pot, ...]]]
    laid: dict[tuple[int, int], list[Field]]

    @classmethod
    def grown(
        cls, bench: Bench, ready: Ready, every: Options, unlimited: _Chosen, most: int, watch: Watch
    ) -> _Palettes:
        problems = ready.problems
        tissues = dict.fromkeys(problem.tissue for problem in problems)
        places = [[i for i, one in enumerate(problems) if one.tissue == tissue] for tissue in tissues]
        served = served_of(searches_of(ready), [not one for one in unlimited.reached])
        layers = bench.limits.layers
        found = [
            list(palettes([served[i] for i in own], every, most=most, layers=layers, watch=watch)) for own in places
        ]
        return cls(bench, problems, places, found, {})

    def best(self, count: int, within_reach: Sequence[bool]) -> _Chosen:
        """The zones with so many mixes, shared out among teeth and gum as serves them best together."""
        tried = [self._with(split) for split in self._splits(count)]
        return max(tried, key=lambda one: _together(one.moves, within_reach).counts)

    def _splits(self, count: int) -> list[tuple[int, ...]]:
        if len(self.places) < 2:
            return [(count,) * len(self.places)]
        return [(k, count - k) for k in range(count, -1, -1)]

    def _with(self, split: Sequence[int]) -> _Chosen:
        fields: dict[int, Field] = {}
        for tissue, (own, size) in enumerate(zip(self.places, split, strict=True)):
            fields.update(zip(own, self._fields(tissue, min(size, len(self.found[tissue]))), strict=True))
        return _Chosen.of([fields[i] for i in range(len(self.problems))])

    def _fields(self, tissue: int, size: int) -> list[Field]:
        if (tissue, size) not in self.laid:
            pots = self.found[tissue][size - 1] if size else ()
            own = [self.problems[i] for i in self.places[tissue]]
            options = options_of(pots, self.bench.limits.coats) if pots else None
            self.laid[tissue, size] = try_all(self.bench, own, options, short=SHORT)
        return self.laid[tissue, size]


def _without(bench: Bench, problems: Sequence[ZoneProblem], reason: ZoneNote | None) -> Plan:
    """The plan where nothing may be laid on."""
    fields = try_all(bench, problems, None)
    left = [field.leave for field in fields]
    verdict: PlanVerdict = "no firing" if reason else "leave"
    zones = tuple(
        ZonePlan(field.problem.key, field.problem.tissue, verdict, one, reason or why(bench, field, one), one.accept)
        for field, one in zip(fields, left, strict=True)
    )
    alone = _together(left, [True] * len(left))
    return Plan((), alone.accept, alone.accept_within, zones, alone, alone, no_stain=reason is None)


def _zone(bench: Bench, field: Field, move: Tried, within_reach: bool, best: Tried) -> ZonePlan:
    verdict: PlanVerdict = "out of reach" if not within_reach else "stain" if move.layers else "leave"
    told = why(bench, field, move)
    return ZonePlan(field.problem.key, field.problem.tissue, verdict, move, told, max(best.accept, move.accept))


def _pots_of(moves: Sequence[Tried]) -> tuple[Pot, ...]:
    """The mixes by the zones that they go on, most first."""
    used = Counter(pot for move in moves for pot in {layer.pot for layer in move.layers})
    return tuple(sorted(used, key=lambda pot: (-used[pot], pot.shares)))


def _together(moves: Sequence[Tried], within_reach: Sequence[bool]) -> Together:
    counted = [move for move, counts in zip(moves, within_reach, strict=True) if counts]
    at_once, later = [move.hits for move in counted], [move.within for move in counted]
    return Together(len(_pots_of(moves)), all_accepted(at_once), all_accepted(later))
