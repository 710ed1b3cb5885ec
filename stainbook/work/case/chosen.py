"""What the bench has chosen to do next, zone by zone: kept in the book until the zone is fired."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from stainbook.book import open_book
from stainbook.kept import Choice
from stainbook.records import Case
from stainbook.work.case.case_desk import CaseDesk, Key, Step, layers_of, step_of
from stainbook.work.documents.plan_schemas import PlanResult
from stainbook.work.documents.schemas import AdvisedZone, Move


def chosen_steps(url: str | None, case: Case) -> dict[Key, Step]:
    """The chosen step of each zone that was not fired since; raises BookError for a book that cannot be opened."""
    fired = {zone.key: zone.fired for zone in case.zones}
    with open_book(url) as book:
        found = book.choices(case.case)
    return {key: Step(one.kind, one.layers, one.body) for key, one in found.items() if fired.get(key, -1) == one.fired}


def choose(url: str | None, case: Case, steps: Mapping[Key, Step | None]) -> None:
    """Keep what is chosen for zones; None takes a choice back, and the first step of the advice holds again."""
    fired = {zone.key: zone.fired for zone in case.zones}
    choices = [
        Choice(case.case, *key, kind=step.kind, layers=step.layers, body=step.body, fired=fired.get(key, 0))
        if step
        else Choice(case.case, *key, kind="", fired=fired.get(key, 0))
        for key, step in steps.items()
    ]
    with open_book(url) as book:
        book.add_choices(choices)


def plan_steps(plan: PlanResult) -> dict[Key, Step]:
    """The layers of a plan as steps of its zones; those that nothing is laid on are left."""
    return {
        (zone.tooth, zone.zone): Step("add", layers_of(zone.painted)) if zone.painted else Step("leave", ())
        for zone in plan.zones
        if zone.verdict != "no firing"
    }


def proposed(zone: AdvisedZone, step: Step) -> Move | None:
    """The move of the advice that a step is, None for one that was thought of by hand."""
    return next((move for move in zone.moves if step_of(move) == step), None)


def moves_of(desk: CaseDesk, chosen: Mapping[Key, Step]) -> dict[Key, Move]:
    """What is to be done next on each zone: what was chosen, else the first move of its advice."""
    zones = {(zone.tooth, zone.zone): zone for zone in desk.view.advised.zones}
    found = {key: zone.moves[0] for key, zone in zones.items() if zone.moves}
    by_hand = {}
    for key, step in chosen.items():
        if key not in zones:
            continue
        move = proposed(zones[key], step)
        if move is not None:
            found[key] = move
        else:
            by_hand[key] = step
    return found | desk.lay(by_hand)


def whole_chance(
    desk: CaseDesk, moves: Mapping[Key, Move], *, within_reach: bool = False
) -> tuple[float, float] | None:
    """Chance that the case is accepted with these moves, after this firing and within those left; None if unknown.

    A zone that waits for another blank counts by the best without one; with ``within_reach`` those that stain
    cannot bring there are left out.
    """
    zones = [
        zone
        for zone in desk.view.advised.zones
        if zone.gap is not None and not (within_reach and zone.verdict == "out of reach")
    ]
    return desk.together({(zone.tooth, zone.zone): _on_this_piece(zone, moves) for zone in zones})


def _on_this_piece(zone: AdvisedZone, moves: Mapping[Key, Move]) -> Step:
    """What is done to the piece as it is: for a zone that waits for another blank, the best without one."""
    move = moves.get((zone.tooth, zone.zone))
    if move is not None and move.kind == "remake":
        move = next((one for one in zone.moves if one.kind != "remake"), None)
    return step_of(move) if move is not None else Step("leave", ())


def mixes_used(moves: Iterable[Move]) -> int:
    """How many different mixes the moves ask for."""
    return len({tuple(sorted(layer.pot.items())) for move in moves if move.kind != "remake" for layer in move.layers})
