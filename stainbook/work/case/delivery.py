"""How a finished case is received: accepted by whom, delivered, come back and why. Facts: added, never edited.

The case says who accepted it since its last firing and why it came back; the newest firing and the newest outcome
of each zone are told the same, so that the lab's numbers and its recipes know.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from stainbook.book import Book, Transaction
from stainbook.errors import InputError, UnknownNameError
from stainbook.kept import ACCEPTED_BY, RETURNED_FOR, Firing, Outcome, Painted
from stainbook.records import Case
from stainbook.work.case.case_gaps import gaps_of
from stainbook.work.case.follow import follow_book, write_case_file
from stainbook.work.case.measuring_sheet import CASE_SUFFIXES
from stainbook.work.case.zones import case_at
from stainbook.work.documents.book_schemas import HandoverResult

OUT = frozenset({"delivered", "bonded"})
_NAMED_AT_MOST = 6  # zones of a sentence


@dataclass(frozen=True, slots=True)
class DeliveryState:
    """How a case stands before it leaves: zones by grade, what lies on it unfired, and what bars its delivery."""

    case: Case
    within: tuple[str, ...]
    unsure: tuple[str, ...]
    beyond: tuple[str, ...]
    ungraded: tuple[str, ...]
    unfired: Painted | None
    barred: str | None


def standing(book: Book, path: Path) -> DeliveryState:
    """How the case of a file stands; raises InputError for a case that cannot be used."""
    case = case_at(book, path)
    return _standing(book, case)


def accept(book: Book, what: str, by: str) -> HandoverResult:
    """Note that a case was accepted.

    what : its file, or its code in the book. by : ``lab``, ``clinic`` or ``patient``

    Raises UnknownNameError for somebody else and a case that is not known, InputError where stain lies on it unfired.
    """
    if by not in ACCEPTED_BY:
        raise UnknownNameError("who accepted it", by, ACCEPTED_BY)
    case, path = _found(book, what)
    unfired = book.painted(case.case)
    if unfired is not None:
        raise InputError(f"{case.case} is not accepted: {_lies(unfired)}")
    return _received(book, replace(case, accepted_by=by, returned=None), path, why=f"accepted by {by}")


def deliver(book: Book, what: str) -> HandoverResult:
    """Note that a case left the lab.

    what : its file, or its code in the book

    Raises InputError while a stain lies on it unfired, and while a zone is beyond what is accepted and nobody
    accepted it; UnknownNameError for a case that is not known.
    """
    case, path = _found(book, what)
    if case.stage in OUT:
        return _told(case, [f"{case.case} was delivered before"])
    found = _standing(book, case)
    if found.barred is not None:
        raise InputError(f"{case.case} is not delivered: {found.barred}")
    warnings = [f"not graded, without a reading or a target: {listed(found.ungraded)}"] if found.ungraded else []
    return _received(book, replace(case, stage="delivered"), path, why=None, warnings=warnings)


def take_return(book: Book, what: str, reason: str) -> HandoverResult:
    """Note that a case came back.

    what : its file, or its code in the book. reason : ``shade``, ``fit``, ``fracture``, ``design`` or ``clinic change``

    Raises UnknownNameError for another reason and a case that is not known, InputError for one that was not delivered.
    """
    if reason not in RETURNED_FOR:
        raise UnknownNameError("reason of a return", reason, RETURNED_FOR)
    case, path = _found(book, what)
    if case.stage not in (*OUT, "returned"):
        raise InputError(f"{case.case} is {case.stage or 'at no stage'}, expected one that was delivered")
    back = replace(case, stage="returned", accepted_by=None, returned=reason)
    return _received(book, back, path, why=f"returned: {reason}")


def paint(book: Book, path: Path, painted: Painted) -> None:
    """Note what lies on a case, dried and not fired yet; raises InputError for a case that cannot be used."""
    case = follow_book(book, path)
    known = {zone.key for zone in case.zones}
    odd = [f"{one.tooth} {one.zone}" for one in painted.zones if (one.tooth, one.zone) not in known]
    if odd:
        raise InputError(f"{case.case} has no zone {odd[0]}, expected one of its zones")
    book.add_painted(replace(painted, case=case.case))


def now() -> str:
    """The time as the book keeps it."""
    return datetime.now(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")


def listed(names: Iterable[str]) -> str:
    """Some names of many: ``11 cervical, 11 middle and 4 more``."""
    every = list(names)
    more = f" and {len(every) - _NAMED_AT_MOST} more" if len(every) > _NAMED_AT_MOST else ""
    return ", ".join(every[:_NAMED_AT_MOST]) + more


# ---------------------------------------------------------------- how it stands


def _standing(book: Book, case: Case) -> DeliveryState:
    names: dict[str, list[str]] = {"within": [], "cannot tell": [], "beyond": [], "": []}
    for zone in gaps_of(book, case).shown.zones:
        names[zone.gap.grade if zone.gap else ""].append(f"{zone.tooth} {zone.zone}")
    unfired = book.painted(case.case)
    within, unsure, beyond, ungraded = (tuple(found) for found in names.values())
    barred = _barred(case, unfired, beyond)
    return DeliveryState(case, within, unsure, beyond, ungraded, unfired, barred)


def _barred(case: Case, unfired: Painted | None, beyond: tuple[str, ...]) -> str | None:
    if unfired is not None:
        return _lies(unfired)
    if case.stage == "green":
        return "it is not sintered yet; sinter it, read it and set its stage"
    if beyond and case.accepted_by is None:
        return (
            f"{len(beyond)} zone{'s are' if len(beyond) > 1 else ' is'} beyond what is accepted ({listed(beyond)}) and "
            "nobody accepted the piece; bring them there, or have it accepted by lab, clinic or patient"
        )
    return None


def _lies(painted: Painted) -> str:
    zones = listed(f"{one.tooth} {one.zone}" for one in painted.zones)
    return f"stain lies unfired on {zones}; fire it and record the firing, or note that it was wiped off"


# ---------------------------------------------------------------- into file and book


def _found(book: Book, what: str) -> tuple[Case, Path | None]:
    """The case of a file or of a code, and its file where there is one."""
    path = Path(what)
    if path.suffix.lower() in CASE_SUFFIXES:
        return follow_book(book, path), path
    revisions = book.entered("case", what)
    if not revisions:
        raise UnknownNameError("case", what, book.cases())
    case: Case = revisions[-1].record
    source = Path(case.source)
    if source.suffix.lower() in CASE_SUFFIXES and source.is_file():
        found = case_at(book, source)
        if found.case == what:
            return follow_book(book, source), source
    return case, None


def _received(
    book: Book, case: Case, path: Path | None, *, why: str | None, warnings: Iterable[str] = ()
) -> HandoverResult:
    with book.transaction() as step:
        step.add_cases([case])
        if why is not None:
            _tell(step, case, why)
        if path is not None:
            write_case_file(path, case)  # what cannot be written here is not stored either
    return _told(case, warnings)


def _tell(step: Transaction, case: Case, why: str) -> None:
    """Let the newest firing and the newest outcome of each zone say how the case was received."""
    newest: dict[tuple[int, str], Outcome] = {}
    for one in sorted(step.outcomes_of(case.case), key=lambda one: one.fired_at):
        newest[one.tooth, one.zone] = one
    step.add_outcomes([_judged(one, case) for one in newest.values()], why=why)
    step.add_firings([_heard(one, case) for one in step.firings_of(case.case)[-1:]], why=why)


def _judged(one: Outcome, case: Case) -> Outcome:
    accepted = True if case.accepted_by else False if case.returned == "shade" else one.accepted
    by, reason = case.accepted_by or one.accepted_by, case.returned or one.returned
    return replace(one, accepted_by=by, returned=reason, accepted=accepted)


def _heard(firing: Firing, case: Case) -> Firing:
    by, reason = case.accepted_by or firing.accepted_by, case.returned or firing.returned
    return replace(firing, accepted_by=by, returned=reason)


def _told(case: Case, warnings: Iterable[str]) -> HandoverResult:
    return HandoverResult(
        case=case.case,
        stage=case.stage,
        accepted_by=case.accepted_by,
        returned=case.returned,
        warnings=list(warnings),
    )
