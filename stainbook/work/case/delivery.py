"""How a finished case is received: accepted by whom, delivered, come back and why. Facts: added, never edited.

Each is a step of the piece's way. The newest firing and the newest outcome of each zone are told the same, so that the
lab's numbers and its recipes know; a step that was pressed by mistake is undone with what it told.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from stainbook.book import Book, Transaction
from stainbook.book.case_state import CaseState
from stainbook.book.events import Event
from stainbook.book.fold import fold
from stainbook.book.possible import cannot_go, refusal
from stainbook.errors import InputError, UnknownNameError, some_of
from stainbook.kept import ACCEPTED_BY, BY_MISTAKE, RETURNED_FOR, Firing, Outcome, PaintedZone, StepDone
from stainbook.language import joined, say, say_n
from stainbook.records import Case
from stainbook.stage_words import step_name
from stainbook.words.places import place
from stainbook.work.case.case_gaps import gaps_of
from stainbook.work.case.current_case import CurrentCase, What, current_case, known_case
from stainbook.work.case.open_case import brought_in, now
from stainbook.work.case.standing import unread_since_stained
from stainbook.work.documents.book_schemas import HandoverResult
from stainbook.work.reading.by_eye import is_hint

_NAMED_AT_MOST = 6  # zones of a sentence


@dataclass(frozen=True, slots=True)
class DeliveryState:
    """How a case stands before it leaves: zones by grade (under "" those that have none), and what bars its delivery.

    ``missing`` is a finish that the case names and that no firing recorded: asked about, since it may have been done.
    """

    case: Case
    zones: Mapping[str, tuple[str, ...]]
    barred: str | None
    missing: str | None = None
    sure_missing: bool = False  # every firing of the piece said its kind, so the finish was not recorded

    @property
    def is_out(self) -> bool:
        """Whether it left the lab."""
        return self.case.stage == "delivered"


def standing(book: Book, what: What) -> DeliveryState:
    """How a case stands; raises InputError for a case that cannot be used."""
    return _standing(book, current_case(book, what))


def accept(book: Book, what: What, by: str) -> HandoverResult:
    """Note that a case was accepted.

    what : its file, or its code in the book. by : ``lab``, ``clinic`` or ``patient``

    Raises UnknownNameError for somebody else and a case that is not known, InputError where stain lies on it unfired
    and where it is not sintered.
    """
    if by not in ACCEPTED_BY:
        raise UnknownNameError(say("who accepted it"), by, ACCEPTED_BY)
    current = brought_in(book, what)
    code = current.case.case
    if current.state.unfired:
        raise InputError(say("{code} is not accepted: {reason}", code=code, reason=_lies(current.state.unfired)))
    step = _possible(current, StepDone(code, "accepted", now(), by=by))
    return _received(book, current, step, why=f"accepted by {by}")


def deliver(book: Book, what: What, *, as_is: str | None = None) -> HandoverResult:
    """Note that a case left the lab.

    what : its file, or its code in the book. as_is : why it leaves without the finish that the case names

    Raises InputError while a stain lies on it unfired, while a zone is beyond what is accepted and nobody accepted it,
    and while the finish that it names is missing; UnknownNameError for a case that is not known.
    """
    current = brought_in(book, what)
    code = current.case.case
    if current.state.stage == "delivered":
        return _told(current, [say("{code} was delivered before", code=code)])
    found = _standing(book, current)
    if found.barred is not None:
        raise InputError(say("{code} is not delivered: {reason}", code=code, reason=found.barred))
    if found.missing and found.sure_missing and not as_is:
        raise InputError(
            say(
                "{code} is not delivered: {missing}; record it, or say why it goes so (--as-is WHY)",
                code=code,
                missing=found.missing,
            )
        )
    ungraded = found.zones[""]
    warnings = [say("not graded, without a reading or a target: {zones}", zones=listed(ungraded))] if ungraded else []
    warnings += [found.missing] if found.missing and not as_is else []
    return _received(book, current, StepDone(code, "delivered", now(), why=as_is), why=None, warnings=warnings)


def take_return(book: Book, what: What, reason: str) -> HandoverResult:
    """Note that a case came back.

    what : its file, or its code in the book. reason : ``shade``, ``fit``, ``fracture``, ``design`` or ``clinic change``

    Raises UnknownNameError for another reason and a case that is not known, InputError for one that was not delivered.
    """
    if reason not in RETURNED_FOR:
        raise UnknownNameError(say("reason of a return"), reason, RETURNED_FOR)
    current = brought_in(book, what)
    step = _possible(current, StepDone(current.case.case, "returned", now(), why=reason))
    return _received(book, current, step, why=f"returned: {reason}")


def _possible(current: CurrentCase, step: StepDone) -> StepDone:
    """The step; raises InputError where it cannot follow what the piece is."""
    why = refusal(current.state, Event(step.did, step.at, step))
    if why is not None:
        raise InputError(why)
    return step


def undo_received(book: Book, code: str, *, why: str = BY_MISTAKE) -> HandoverResult:
    """Undo the newest acceptance, delivery or return of a case.

    Raises InputError where the newest step of its way is none of these; UnknownNameError for another case.
    """
    current = known_case(book, code)
    last = current.state.last
    if last is None or last.what not in ("accepted", "delivered", "bonded", "returned"):
        raise InputError(_not_received(code, last))
    stop = cannot_go(current.events, [last.id])
    if stop is not None:
        raise InputError(joined([code, stop], ": "))
    with book.transaction() as step:
        step.undo_rows([last.id], why=why)
        _untell(step, code, last.number, why=f"undone: {why}")
    return _told(known_case(book, code), [])


def _not_received(code: str, last: Event | None) -> str:
    if last is None:
        return say("found no step of {code}, expected that it was accepted, delivered, returned", code=code)
    return say(
        "found {step} at {at} as the last step of {code}, expected that it was accepted, delivered, returned",
        step=step_name(last.what),
        at=last.at[:16],
        code=code,
    )


def listed(names: Iterable[str]) -> str:
    """Some names of many: ``11 cervical, 11 middle and 4 more``."""
    return some_of(names, most=_NAMED_AT_MOST)


# ---------------------------------------------------------------- how it stands


def _standing(book: Book, current: CurrentCase) -> DeliveryState:
    names: dict[str, list[str]] = {"within": [], "cannot tell": [], "beyond": [], "by eye": [], "": []}
    read: set[str] = set()
    settings = book.settings()
    by_hand = {zone.key for zone in current.case.zones if zone.by_hand}
    for zone in gaps_of(book, current).shown.zones:
        if (zone.tooth, zone.zone) in by_hand:
            continue
        name = place(zone.tooth, zone.zone)
        hint = is_hint(zone.zone, current.case.material, settings)
        names["by eye" if hint else zone.gap.grade if zone.gap else ""].append(name)
        if zone.standing is not None and zone.standing.from_ == "read":
            read.add(name)
    zones = {grade: tuple(found) for grade, found in names.items()}
    beyond = tuple(name for name in zones["beyond"] if name in read)
    barred = _barred(current.case, current.state, beyond, read=bool(read))
    return DeliveryState(current.case, zones, barred, _missing_finish(current), current.state.known_firings)


def _missing_finish(current: CurrentCase) -> str | None:
    """The finish that a case names and that nothing recorded, in a line that asks for it."""
    state, case = current.state, current.case
    named = {zone.finish or case.finish for zone in case.zones if not zone.by_hand} or {case.finish}
    if "glaze" not in named or state.glazed_at is not None or state.stage in ("trial", "bonded", None):
        return None
    return say("its finish is glaze, and no glaze firing of {case} is recorded", case=case.case)


def _barred(case: Case, state: CaseState, beyond: tuple[str, ...], *, read: bool) -> str | None:
    if state.unfired:
        return _lies(state.unfired)
    if case.stage == "returned" and case.returned == "shade" and not read and case.accepted_by is None:
        return say(
            "it came back for its shade and was not read since; read it, or have it accepted by lab, clinic, patient"
        )
    if case.stage == "green":
        return say("it is not sintered yet; sinter it, read it and set its stage")
    if unread_since_stained(state) and case.accepted_by is None:
        return say(
            "stain was fired on it and nothing of it was read since; read it, or have it accepted by lab, clinic or "
            "patient"
        )
    if beyond and case.accepted_by is None:
        return say_n(
            "{n} zone was read out of tolerance ({zones}) and nobody accepted the piece; bring it there, or have the "
            "piece accepted by lab, clinic or patient",
            "{n} zones were read out of tolerance ({zones}) and nobody accepted the piece; bring them there, or have "
            "it accepted by lab, clinic or patient",
            len(beyond),
            zones=listed(beyond),
        )
    return None


def _lies(painted: Sequence[PaintedZone]) -> str:
    zones = listed(place(one.tooth, one.zone) for one in painted)
    return say(
        "stain lies unfired on {zones}; fire it and record the firing, or note that it was wiped off", zones=zones
    )


# ---------------------------------------------------------------- into the book


def _received(
    book: Book, current: CurrentCase, told: StepDone, *, why: str | None, warnings: Iterable[str] = ()
) -> HandoverResult:
    code = current.case.case
    with book.transaction() as step:
        step.add_steps([replace(told, seen=current.seen)])
        if why is not None:
            _tell(step, code, fold(step.events(code)), why=why)
    return _told(known_case(book, code), warnings)


def _tell(step: Transaction, code: str, state: CaseState, *, why: str) -> None:
    """Let the newest firing and the newest outcome of each zone say how the case was received."""
    newest: dict[tuple[int, str], Outcome] = {}
    for one in sorted(step.outcomes_of(code), key=lambda one: one.fired_at):
        newest[one.tooth, one.zone] = one
    step.add_outcomes([_judged(one, state) for one in newest.values()], why=why)
    step.add_firings([_heard(one, state) for one in step.firings_of(code)[-1:]], why=why)


def _untell(step: Transaction, code: str, number: int, *, why: str) -> None:
    """Let firing and outcomes say what they said before the step of that number of the journal was told."""
    outcomes = [(one, _before(step, "outcome", one.outcome, number)) for one in step.outcomes_of(code)]
    firings = [(one, _before(step, "firing", one.firing, number)) for one in step.firings_of(code)]
    step.add_outcomes(
        [
            replace(one, accepted_by=was.accepted_by, returned=was.returned, accepted=was.accepted)
            for one, was in outcomes
            if was is not None
        ],
        why=why,
    )
    step.add_firings(
        [replace(one, accepted_by=was.accepted_by, returned=was.returned) for one, was in firings if was is not None],
        why=why,
    )


def _before(step: Transaction, kind: str, name: str, number: int) -> Any:
    """The newest revision of a record from before a number of the journal; None where there was none."""
    return next((one.record for one in reversed(step.entered(kind, name)) if one.number < number), None)


def _judged(one: Outcome, state: CaseState) -> Outcome:
    accepted = True if state.accepted_by else False if state.returned == "shade" else one.accepted
    returned = state.returned or one.returned  # a return counts also when the piece is accepted later
    return replace(one, accepted_by=state.accepted_by, returned=returned, accepted=accepted)


def _heard(firing: Firing, state: CaseState) -> Firing:
    return replace(firing, accepted_by=state.accepted_by, returned=state.returned or firing.returned)


def _told(current: CurrentCase, warnings: Iterable[str]) -> HandoverResult:
    case = current.case
    return HandoverResult(
        case=case.case,
        stage=case.stage,
        accepted_by=case.accepted_by,
        returned=case.returned,
        warnings=list(warnings),
    )
