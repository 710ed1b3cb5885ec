"""A palette for a whole case: few mixes for all zones in one firing, and which of them go on each zone.

The mixes are those of `exchange`; the few best palettes of them are then forecast in full and judged as a whole
(`judged`), the zones taking their steps together (`choosing`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Literal

from stainbook.errors import StoppedError
from stainbook.match.advice import FollowOn
from stainbook.match.choosing import no_worse as no_worse
from stainbook.match.choosing import pots_by_use, surest
from stainbook.match.few_mixes import FewMixes
from stainbook.match.follow_on import follow_on
from stainbook.match.judged import JUDGED, Judge, Painting
from stainbook.match.moves import Field, Tried, all_accepted, ready_for, try_all
from stainbook.match.offer import no_firing_reason
from stainbook.match.one_piece import mirror_of
from stainbook.match.problem import Bench, Key, ZoneProblem
from stainbook.match.reasons import Reason, ZoneNote
from stainbook.match.settling import Together as Together
from stainbook.match.settling import together as together_of
from stainbook.match.verdict import brought_there, no_liquid
from stainbook.match.watch import UNWATCHED, Watch
from stainbook.match.why import why
from stainbook.records import Pot

DEFAULT_POTS = 4
SHORT = 8  # stacks of a zone that get a full forecast with as many mixes as it could wish for
ELSEWHERE = 2  # palettes of other numbers of mixes that are judged

PlanVerdict = Literal["stain", "leave", "out of reach", "no firing"]


@dataclass(frozen=True, slots=True, eq=False)
class ZonePlan:
    """What goes on one zone, what it becomes, and whether stain brings it there at all.

    ``best`` is its chance with as many mixes as it could wish for, ``then`` what is expected to follow on liquids.
    """

    key: Key
    tissue: str
    verdict: PlanVerdict
    move: Tried
    why: Reason | ZoneNote
    best: float
    then: FollowOn | None = None

    @property
    def counts(self) -> bool:
        """Whether it has a part in the chance of the case."""
        return self.move.problem.counts


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """The mixes, most used first, and the zones as they were given.

    ``accept`` and ``accept_within`` hold for all zones, ``together`` for those that stain can bring there;
    ``unlimited`` is that with as many mixes as the zones could wish for, ``trade_off`` with few, by their number,
    ``one_more`` with one mix more, where one helps; ``at_hand`` with mixes that stand ready alone, in one pass.
    """

    pots: tuple[Pot, ...]
    accept: float
    accept_within: float
    zones: tuple[ZonePlan, ...]
    together: Together
    unlimited: Together
    one_more: Together | None = None
    trade_off: tuple[Together, ...] = ()
    at_hand: Together | None = None
    no_stain: bool = False  # none that this material and stage bear is on the list


def plan_case(
    bench: Bench,
    problems: Sequence[ZoneProblem],
    *,
    stage: str | None = None,
    most: int | None = None,
    trade_off: Iterable[int] = (),
    at_hand: bool = False,
    watch: Watch = UNWATCHED,
) -> Plan:
    """One palette for all zones of a case, in one firing.

    Parameters
    ----------
    bench : what may be put on; its limits are the case's
    problems : the zones
    stage : of the piece, a word of formats.md
    most : mixes; the case's own limit when None, else `DEFAULT_POTS`
    trade_off : numbers of mixes whose chance is wanted too; each costs a forecast of all zones
    at_hand : of mixes that stand ready alone, in one pass, where any stand ready
    watch : follows the progress of the work; stopped, it ends with the best plan so far

    Raises
    ------
    StoppedError : when ``watch`` was asked to stop before there was any plan
    UnknownNameError : for a target under an unknown light or observer

    >>> import numpy as np
    >>> from stainbook.colour import thresholds
    >>> from stainbook.match import Bench, Start, ZoneProblem
    >>> from stainbook.match.plan import plan_case
    >>> from stainbook.optics.curves import Optics
    >>> from stainbook.optics.film import Piece
    >>> from stainbook.records import Viewing
    >>> bench = Bench(Optics({}), ("husk",), {"husk": ("surface", "brown")})
    >>> now = Start(Piece(np.full(31, 0.5), "glazed", 0.0, bench.optics.ceramic("zirconia")), "11 middle")
    >>> zone = ZoneProblem((11, "middle"), "tooth", now, (73.0, 1.0, 5.0), Viewing(), thresholds("tooth"))
    >>> plan = plan_case(bench, [zone], stage="stained")
    >>> [pot.stains for pot in plan.pots], [one.verdict for one in plan.zones]
    ([('husk',)], ['stain'])
    """
    reason = no_firing_reason(stage, bench.limits.firings_left)
    every = None if reason else bench.options
    if every is None or not problems:
        return _without(bench, problems, reason)
    ready = ready_for(bench, problems, every, watch=watch)
    fields = try_all(bench, problems, every, short=SHORT, watch=watch, ready=ready)
    wished = [surest(field) for field in fields]
    judge = Judge.of(bench, ready, every, fields, [brought_there(bench, field) for field in fields], watch)
    count = most or bench.limits.pots or DEFAULT_POTS
    found = _by_number(judge, count, {count + 1, *trade_off})
    ready_alone, best = _at_hand(judge, count), found[count]
    if ready_alone is not None and (at_hand or ready_alone.value > best.value):
        best = ready_alone
    more = found[count + 1].together if count + 1 in found and not at_hand else best.together
    return Plan(
        pots=pots_by_use(best.steps.moves),
        accept=all_accepted([move.hits for move in best.steps.moves if move.problem.counts]),
        accept_within=all_accepted([move.within for move in best.steps.moves if move.problem.counts]),
        zones=tuple(_zones(bench, judge, best, wished)),
        together=best.together,
        unlimited=together_of(wished, judge.within_reach),
        one_more=more if more.mixes > best.together.mixes else None,
        at_hand=ready_alone.together if ready_alone is not None else None,
        trade_off=tuple(dict.fromkeys(found[n].together for n in sorted(set(trade_off)) if n in found)),
    )


def _by_number(judge: Judge, count: int, others: Iterable[int]) -> dict[int, Painting]:
    """The best painting of each number of mixes, the asked one first; no more mixes do worse than fewer.

    Stopped on the way it hands back what it has: at least one painting of the asked number, else StoppedError.
    """
    sizes = list(dict.fromkeys([count, *sorted(others)]))
    grown, best = judge.palettes(max(sizes)), dict[int, Painting]()
    try:
        for place, n in enumerate(sizes):
            judge.watch.step("judge", place, len(sizes))
            first, *rest = _likeliest(grown, n, JUDGED if n == count else ELSEWHERE)
            (best[n],) = judge.painted([first])
            best[n] = max([best[n], *judge.painted(rest)], key=lambda one: one.value)
    except StoppedError:
        if count not in best:
            raise
    return _never_worse(best)


def _at_hand(judge: Judge, count: int) -> Painting | None:
    """The best painting of so many mixes that stand ready, in one pass: nothing to weigh, no drying between."""
    if not judge.bench.stock:
        return None
    try:
        some = _likeliest(judge.palettes(count, ready_alone=True), count, ELSEWHERE)
        found = judge.painted([one for one in some if any(one.values())], passes=1)
    except StoppedError:
        return None
    return max(found, key=lambda one: one.value, default=None)


def _never_worse(best: Mapping[int, Painting]) -> dict[int, Painting]:
    found: dict[int, Painting] = {}
    for n, own in sorted(best.items()):
        fewer = max((one for size, one in found.items() if size < n), key=lambda one: one.value, default=own)
        better = fewer.value >= own.value and fewer.together.counts >= own.together.counts
        found[n] = fewer if better else own
    return found


def _likeliest(grown: dict[str, list[list[FewMixes]]], count: int, most: int) -> list[dict[str, tuple[Pot, ...]]]:
    """The best palettes of so many mixes or fewer by the guess, shared out among teeth and gum: no mix serves both."""
    every = [[one for size in sizes[: count + 1] for one in size] for sizes in grown.values()]
    fit = [some for some in product(*every) if _is_fit([pot for one in some for pot in one.pots], count)]
    fit.sort(key=lambda some: -sum(one.worth for one in some))
    return [dict(zip(grown, (one.pots for one in some), strict=True)) for some in fit[:most]]


def _is_fit(pots: Sequence[Pot], count: int) -> bool:
    return len(pots) <= count and len(set(pots)) == len(pots)


def _without(bench: Bench, problems: Sequence[ZoneProblem], reason: ZoneNote | None) -> Plan:
    """The plan where nothing may be laid on."""
    fields = try_all(bench, problems, None)
    left = [field.leave for field in fields]
    verdict: PlanVerdict = "no firing" if reason else "leave"
    zones = tuple(
        ZonePlan(field.problem.key, field.problem.tissue, verdict, one, reason or why(bench, field, one), one.accept)
        for field, one in zip(fields, left, strict=True)
    )
    alone = together_of(left, [True] * len(left))
    return Plan((), alone.accept, alone.accept_within, zones, alone, alone, no_stain=reason is None)


def _zones(bench: Bench, judge: Judge, best: Painting, wished: Sequence[Tried]) -> list[ZonePlan]:
    found = []
    moves = best.steps.moves
    then = follow_on(bench, judge.ready, {i: move.layers for i, move in enumerate(moves)})
    for i, (field, move) in enumerate(zip(best.fields, moves, strict=True)):
        one = _zone(bench, field, move, judge.within_reach[i], wished[i])
        if i in best.steps.apart:
            tooth, zone = one.key
            if isinstance(one.why, Reason):
                one = replace(one, why=replace(one.why, unlike=(mirror_of(tooth), zone)))
        if bench.soaks and field.problem.tissue == "gingiva" and not judge.within_reach[i]:
            one = replace(one, why=no_liquid(bench, field))
        found.append(replace(one, then=then.get(i)))
    return found


def _zone(bench: Bench, field: Field, move: Tried, within_reach: bool, best: Tried) -> ZonePlan:
    verdict: PlanVerdict = "out of reach" if not within_reach else "stain" if move.layers else "leave"
    told = why(bench, field, move)
    return ZonePlan(field.problem.key, field.problem.tissue, verdict, move, told, max(best.accept, move.accept))
