"""Looking on: what the program would have said of a firing stands beside what the hand did."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from stainbook.book import Book
from stainbook.book.case_state import CaseState
from stainbook.errors import InputError, message
from stainbook.kept import Beside, Outcome
from stainbook.language import say
from stainbook.records import Case
from stainbook.work.case.advise import detail_of, painted_of
from stainbook.work.case.case_desk import CaseDesk, Key, Step, step_of
from stainbook.work.case.chosen import claims_of
from stainbook.work.case.current_case import CurrentCase, case_of
from stainbook.work.case.problems import AdviceAsked, prepared
from stainbook.work.case.views import CaseView
from stainbook.work.documents.book_schemas import BesideShown, RecordedOutcome
from stainbook.work.documents.schemas import Move
from stainbook.work.reading.viewing_conditions import Asked
from stainbook.work.stains.learnt import SCOPE


def looks_on(book: Book, wanted: bool | None) -> bool:
    """Whether the lab looks on: as is wanted for once, else as it decided."""
    return bool(book.settings().shadow) if wanted is None else wanted


def looked_on(
    book: Book, wish: Case, before: CaseState, outcomes: Sequence[Outcome], asked: Asked, warnings: list[str]
) -> list[Outcome]:
    """The outcomes of one firing with what the program says of them as it stood before that firing.

    What was painted as it was chosen has its claim already. Of all else that was read: what is claimed of the hand's
    layers, ``shown`` False, and the first step of the advice with its own claim. An outcome that the book has learnt
    from keeps what was said then: a claim made after the fact is none.
    """
    stored = {one.outcome: one for one in book.outcomes_of(wish.case)}
    found = [_as_then(one, stored.get(one.outcome)) for one in outcomes]
    open_ = {(one.tooth, one.zone): one for one in found if _is_open(one, stored.get(one.outcome))}
    if not open_:
        return found
    try:
        desk = _desk(book, wish, before, list(open_.values()), asked)
    except InputError as error:
        told = say(
            "{case}: what the program would have done cannot be told: {error}", case=wish.case, error=message(error)
        )
        warnings.append(told)
        return found
    painted = desk.lay({key: Step("add" if one.layers else "leave", one.layers) for key, one in open_.items()})
    advised = {
        (zone.tooth, zone.zone): move
        for zone in desk.view.advised.zones
        if (move := next((one for one in zone.moves if one.kind != "remake"), None)) is not None
    }
    claims = claims_of(desk, painted)
    own = {key: _beside(move, desk, key) for key, move in advised.items()}
    return [
        replace(
            one,
            claim=replace(claims[key], shown=False) if key in claims else None,
            beside=own.get(key),
        )
        if (key := (one.tooth, one.zone)) in open_
        else one
        for one in found
    ]


def _as_then(one: Outcome, stored: Outcome | None) -> Outcome:
    if stored is None or one.claim is not None or stored.layers != one.layers:
        return one
    return replace(one, claim=stored.claim, beside=stored.beside)


def _is_open(one: Outcome, stored: Outcome | None) -> bool:
    """Whether something can be said of it beforehand: read, not chosen, and not learnt from yet."""
    learnt = stored is not None and stored.after is not None
    return one.after is not None and one.before is not None and one.claim is None and not learnt


def _desk(book: Book, wish: Case, before: CaseState, open_: Sequence[Outcome], asked: Asked) -> CaseDesk:
    """The case as it stood before the firing, by the readings that its layers went on."""
    zones = {key: replace(one, unfired=()) for key, one in before.zones.items()}  # what lay there went into the furnace
    state = replace(before, wish=wish, zones=zones)
    case = replace(case_of(state), programme=open_[0].programme or wish.programme)
    lots = {stain: lot for one in open_ for stain, lot in one.lots}
    told = AdviceAsked(asked, operator=open_[0].operator, lots=lots)
    results = {(one.tooth, one.zone): one.before for one in open_ if one.before is not None and case.stage != "green"}
    found = prepared(book, CurrentCase(case, state), told, results=results)
    detail = detail_of(book, found, told)
    fit = book.fit(SCOPE)
    return CaseDesk(CaseView(case, detail.shown), detail, fit=fit.revision if fit else None)


def _beside(move: Move, desk: CaseDesk, key: Key) -> Beside:
    step = step_of(move)
    return Beside(step.kind, step.layers, replace(claims_of(desk, {key: move})[key], shown=False))


def with_beside(told: RecordedOutcome, outcome: Outcome) -> RecordedOutcome:
    """What is told of an outcome, with what the program would have done; an outcome without that is left as it is."""
    beside, painted = outcome.beside, outcome.claim
    if beside is None or beside.claim is None or painted is None:
        return told
    shown = BesideShown(
        kind=beside.kind,
        layers=painted_of(beside.layers),
        dE00=beside.claim.dE00,
        accept=beside.claim.accept,
        painted_dE00=painted.dE00,
        painted_accept=painted.accept,
    )
    return told.model_copy(update={"beside": shown})
