"""What the bench has chosen to do next, zone by zone: kept in the book until the zone is fired."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from stainbook import __version__
from stainbook.book import Book
from stainbook.book.case_state import CaseState
from stainbook.book.marks import choice_holds, zone_mark
from stainbook.kept import Choice, Claim
from stainbook.records import LabRef, Viewing
from stainbook.words.chances import chance
from stainbook.words.places import place
from stainbook.words.plans import moved
from stainbook.work.case.case_desk import CaseDesk, Key, Step, layers_of, step_of
from stainbook.work.case.current_case import known_case
from stainbook.work.documents.plan_schemas import PlannedZone, PlanResult
from stainbook.work.documents.schemas import AdvisedZone, Move
from stainbook.work.stains.learnt import SCOPE
from stainbook.work.stains.painted import written

MOVED = 0.1  # of a chance since its step was chosen, beyond which the sheet says then and now


@dataclass(frozen=True, slots=True)
class DoneNext:
    """What is to be done next on a case: the steps that were chosen, and a move a zone: those, else the advice's first.

    chance : that all zones are accepted so, after this firing and within those left; reached : of those alone that
    stain can bring there. None where unknown. mixes : how many are stirred for it. moved : steps whose chance is
    another than when they were chosen, in words.
    """

    steps: Mapping[Key, Step]
    moves: Mapping[Key, Move]
    mixes: int
    chance: tuple[float, float] | None
    reached: tuple[float, float] | None
    moved: tuple[str, ...] = ()

    @property
    def written(self) -> dict[Key, str]:
        """What is laid on each zone, as it is written into a field."""
        return {key: written(move.layers) for key, move in self.moves.items() if move.kind == "add"}


def done_next(book: Book, desk: CaseDesk) -> DoneNext:
    """What is to be done next on a case as it stands now."""
    state = known_case(book, desk.view.case.case).state
    done = done_with(desk, chosen_steps(state))
    now = {key: (step_of(move), move.accept) for key, move in done.moves.items()}
    return replace(done, moved=tuple(moved_chances(state, now)))


def done_with(desk: CaseDesk, steps: Mapping[Key, Step]) -> DoneNext:
    """What is to be done next where these steps are chosen."""
    moves = moves_of(desk, steps)
    chance, reached = whole_chance(desk, moves), whole_chance(desk, moves, within_reach=True)
    return DoneNext(steps, moves, mixes_used(moves.values()), chance, reached)


def chosen_steps(state: CaseState) -> dict[Key, Step]:
    """The steps chosen for the zones as they stand now; one that was chosen for another standing holds no more."""
    found = {}
    for key, one in state.chosen.items():
        choice = one.choice
        there = state.zones.get(key)
        lying = there is not None and bool(there.unfired)  # its paint is fired or wiped off first
        if choice.kind and not lying and choice_holds(state, one):
            found[key] = Step(choice.kind, choice.layers, choice.body)
    return found


def moved_chances(state: CaseState, now: Mapping[Key, tuple[Step, float | None]]) -> list[str]:
    """Chosen steps that hold and whose chance was another when they were chosen, by more than a tenth, in words.

    now : what is to be done on each zone, and its chance; a zone that gets another step than the chosen is left out
    """
    zones: dict[tuple[str, str], list[str]] = {}
    for key, step in chosen_steps(state).items():
        claim = state.chosen[key].choice.claim
        then = claim.accept if claim is not None else None
        as_now, accept = now.get(key, (None, None))
        if then is None or accept is None or as_now != step or abs(then - accept) <= MOVED:
            continue
        zones.setdefault((chance(then), chance(accept)), []).append(place(*key))
    return [moved(*said, names) for said, names in zones.items()]


def choose(
    book: Book, code: str, steps: Mapping[Key, Step | None], *, claims: Mapping[Key, Claim] | None = None
) -> None:
    """Keep what is chosen for zones as they stand; None takes a choice back: the first step of the advice holds again.

    claims : what was claimed of the chosen steps, kept so that trust can be counted later
    """
    state = known_case(book, code).state
    told = claims or {}
    choices = [
        Choice(
            code,
            *key,
            kind=step.kind if step else "",
            layers=step.layers if step else (),
            body=step.body if step else None,
            fired=state.zones[key].firings if key in state.zones else 0,
            made_for=zone_mark(state, key),
            claim=told.get(key) if step else None,
        )
        for key, step in steps.items()
    ]
    book.add_choices(choices)


def choose_step(book: Book, desk: CaseDesk, keys: Iterable[Key], step: Step | None) -> None:
    """Keep a step for zones with what is claimed of it, None for the first of the advice.

    What needs another piece, or this one stripped, is kept for the first of the zones alone.
    """
    alone = step is not None and step.kind in ("strip and restain", "remake")
    steps = dict.fromkeys(list(keys)[: 1 if alone else None], step)
    laid = desk.lay(dict.fromkeys(steps, step)) if step is not None else {}
    choose(book, desk.view.case.case, steps, claims=claims_of(desk, laid))


def claims_of(desk: CaseDesk, moves: Mapping[Key, Move]) -> dict[Key, Claim]:
    """What the program claims of some moves now."""
    return {key: _claim(move, desk.fit) for key, move in moves.items()}


def _claim(told: Move | PlannedZone, fit: int | None) -> Claim:
    colour = told.colour
    return Claim(
        colour=LabRef((colour.L, colour.a, colour.b), Viewing(colour.illuminant, colour.observer or 0)),
        dE00=told.dE00,
        low=told.dE00_p05,
        high=told.dE00_p95,
        radius=told.radius,
        accept=told.accept,
        accept_within=told.accept_within,
        fit=fit,
        version=__version__,
        shown=True,
    )


def choose_plan(book: Book, code: str, plan: PlanResult) -> None:
    """Keep the layers of a plan as the steps of its zones, with what the plan claims of each."""
    fit = book.fit(SCOPE)
    claims = {(zone.tooth, zone.zone): _claim(zone, fit.revision if fit else None) for zone in plan.zones}
    choose(book, code, plan_steps(plan), claims=claims)


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
    cannot bring there are left out. One whose number is a hint counts nowhere.
    """
    zones = [
        zone
        for zone in desk.view.advised.zones
        if zone.gap is not None and zone.counted and not (within_reach and zone.verdict == "out of reach")
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
