"""Several crowns in one firing: one set of mixes for all of them, one sheet; an arch goes alone."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from stainbook.book import Book
from stainbook.errors import InputError
from stainbook.language import say
from stainbook.match import UNWATCHED, Bench, Watch
from stainbook.match.moves import all_accepted
from stainbook.match.plan import Plan, ZonePlan, plan_case
from stainbook.match.settling import together
from stainbook.records import Pot
from stainbook.work.case.case_plan import PlanAsked, checked, ids_of, shown
from stainbook.work.case.current_case import What
from stainbook.work.case.problems import PreparedCase, prepare_case
from stainbook.work.case.searches import from_stock
from stainbook.work.case.tray_fit import ONE_PLAN, cannot_share
from stainbook.work.documents.plan_schemas import TrayResult


def plan_tray(
    book: Book, cases: Sequence[What], wish: PlanAsked | None = None, *, watch: Watch = UNWATCHED
) -> TrayResult:
    """The plan of several cases that are fired together.

    Raises InputError for cases that cannot share a firing, and as `plan_file` does.
    """
    wish = checked(wish)
    ready = [prepare_case(book, what, wish.advice) for what in cases]
    _check(ready)
    bench = _shared([one.bench for one in ready])
    problems = [replace(one, piece=case.case.case) for case in ready for one in case.open]
    at_hand = from_stock(bench, wish.at_hand)
    plan = plan_case(bench, problems, stage=ready[0].case.stage, most=wish.most, at_hand=at_hand, watch=watch)
    ids, start, found = ids_of(plan, bench.stock), 0, []
    for case in ready:
        own = plan.zones[start : start + len(case.open)]
        start += len(case.open)
        part = _part(plan, own, set(bench.stock.values()))
        found.append(shown(case, part, wish, {pot: ids[pot] for pot in part.pots}))
    pots = list({one.id: one for result in found for one in result.pots}.values())
    used = {one.id: sum(pot.zones for result in found for pot in result.pots if pot.id == one.id) for one in pots}
    told = dict.fromkeys(line for result in found for line in result.warnings)
    return TrayResult(
        pots=[one.model_copy(update={"zones": used[one.id]}) for one in pots], cases=found, warnings=list(told)
    )


def _check(ready: Sequence[PreparedCase]) -> None:
    first = ready[0].case
    seen: set[str] = set()
    for one in ready:
        case = one.case
        if case.case in seen:
            raise InputError(say("found the case {case} twice, expected each once", case=case.case))
        seen.add(case.case)
        why = cannot_share(case, first, ONE_PLAN, strict=True)
        if why is not None:
            raise InputError(why)


def _shared(benches: Sequence[Bench]) -> Bench:
    """What may be laid on in all of the cases: the stains on offer in each, the narrowest limits."""
    first, limits = benches[0], [one.limits for one in benches]
    strengths = [share for share in limits[0].strengths if all(share in one.strengths for one in limits)]
    together = replace(
        limits[0],
        firings_left=min(one.firings_left for one in limits),
        layers=min(one.passes for one in limits),
        coats=min(one.coats for one in limits),
        coats_in_all=min(one.most_coats for one in limits),
        pots=min((one.pots for one in limits if one.pots is not None), default=None),
        strengths=tuple(strengths),
    )
    stains = tuple(name for name in first.stains if all(name in one.stains for one in benches))
    return replace(first, stains=stains, limits=together)


def _part(plan: Plan, zones: Sequence[ZonePlan], stock: Collection[Pot]) -> Plan:
    """The plan of one of the cases: its zones, their mixes and chance."""
    moves = [zone.move for zone in zones]
    used: dict[Pot, None] = {layer.pot: None for move in moves for layer in move.layers}
    return replace(
        plan,
        pots=tuple(pot for pot in plan.pots if pot in used),
        zones=tuple(zones),
        accept=all_accepted([move.hits for move in moves if move.problem.counts]),
        accept_within=all_accepted([move.within for move in moves if move.problem.counts]),
        together=together(moves, [zone.verdict != "out of reach" for zone in zones], stock),
        one_more=None,
        at_hand=None,
    )
