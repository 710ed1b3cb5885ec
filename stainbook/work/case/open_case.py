"""A case comes into the book from a file, and goes out to one: a file is a way in and a way out, no second master."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from stainbook.book import Book, Transaction
from stainbook.book.events import Event, moment
from stainbook.errors import FileError, InputError, message
from stainbook.files import read_case
from stainbook.files.case_writer import format_case
from stainbook.kept import StepDone
from stainbook.language import listed, say
from stainbook.private import write
from stainbook.records import (
    UNKNOWN_VIEWING,
    Blank,
    BodyRef,
    Case,
    CaseZone,
    LabRef,
    NowRef,
    Reading,
    SampleRef,
    Viewing,
)
from stainbook.stage_words import step_name
from stainbook.words.places import place
from stainbook.work.case.current_case import CurrentCase, What, is_file, known_case
from stainbook.work.case.keep import kept_case
from stainbook.work.case.library import Library, guide_of
from stainbook.work.reading.viewing_conditions import Asked

Key = tuple[int, str]


def now() -> str:
    """The time as the book keeps it."""
    return datetime.now(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")


def brought_in(book: Book, what: What, *, viewing: Viewing = UNKNOWN_VIEWING) -> CurrentCase:
    """The case of a code, or of a file that is brought into the book.

    Raises InputError for a file that cannot be used or contradicts what happened, UnknownNameError for another code.
    """
    return open_file(book, Path(what), viewing=viewing) if is_file(what) else known_case(book, str(what))


def open_files(book: Book, paths: Iterable[Path]) -> list[str]:
    """Bring case files into the book; gives a line for each that cannot be used."""
    told = []
    for path in paths:
        try:
            open_file(book, path)
        except InputError as error:
            told.append(message(error))
    return told


def open_file(book: Book, path: Path, *, viewing: Viewing = UNKNOWN_VIEWING) -> CurrentCase:
    """Bring a case file into the book.

    An unknown code opens with its stage, firings and colours as the state that it starts from. Of a known one targets,
    limits, effects and lots become a new wish; readings that the book does not hold are stored.

    Raises FileError where stage, firings, blank or a reading contradict what happened; then nothing is stored.
    """
    loaded = read_case(path, guide=guide_of(book, path.parent, None), viewing=viewing)
    case = with_blank(loaded.records[0])
    kept = kept_case(case, Library(book, Asked()))
    stated = [_stated(zone, case) for zone in case.zones if isinstance(zone.now, LabRef)]
    readings = [*kept.readings, *stated]
    known = book.events(case.case)
    with book.transaction() as step:
        if known:
            current = known_case(book, case.case)
            _check(path, case, current, _new_to(step, stated_of(case, readings)))
            step.add_readings(readings)
            store_wish_in(step, wish_of(kept.case), current)
        else:
            step.add_readings(readings)
            open_as(step, kept.case)
    found = known_case(book, case.case)
    return replace(found, warnings=(*loaded.warnings, *found.warnings))


def open_as(step: Transaction, case: Case, *, why: str | None = None) -> None:
    """Store a case that the book does not know: what is prescribed, and the state that it starts from."""
    step.add_cases([wish_of(case)])
    had = tuple((*zone.key, zone.fired) for zone in case.zones if zone.fired)
    opened = StepDone(case.case, "opened", now(), stage=case.stage, fired=had, why=why)
    steps = [opened]
    if case.accepted_by:
        steps.append(StepDone(case.case, "accepted", now(), by=case.accepted_by))
    if case.returned and case.stage == "returned":
        steps.append(StepDone(case.case, "returned", now(), why=case.returned))
    step.add_steps(steps)


def wish_of(case: Case) -> Case:
    """What is prescribed, without any fact of the piece."""
    zones = tuple(replace(zone, fired=0, now=_name_alone(zone, case.case)) for zone in case.zones)
    return replace(case, zones=zones, stage=None, accepted_by=None, returned=None, wish=True, renamed=None, folder=None)


def _name_alone(zone: CaseZone, code: str) -> SampleRef | None:
    """Under which name the zone's readings stand, where it is not its own."""
    if not isinstance(zone.now, SampleRef) or zone.now.sample == f"{code}-{zone.tooth}-{zone.zone}":
        return None
    return SampleRef(zone.now.sample)


def _opened_at(zone: CaseZone, code: str) -> NowRef | None:
    """Where a zone was; a reading under its own name is found by that."""
    return _name_alone(zone, code) if isinstance(zone.now, SampleRef) else zone.now


def with_blank(case: Case) -> Case:
    """The case with the blank that its zones name, as one for the whole piece; raises FileError for two."""
    named = dict.fromkeys(zone.now.name for zone in case.zones if isinstance(zone.now, BodyRef))
    own = case.blank.name if case.blank is not None else None
    if own is None and len(named) == 1:
        return replace(case, blank=Blank(next(iter(named))))
    if len(named) > 1 or (own is not None and named and own not in named):
        blanks = listed(dict.fromkeys([*([own] if own else []), *named]))
        raise FileError(
            case.source, say("the blanks {blanks}", blanks=blanks), say("one blank: a piece is milled from one")
        )
    return case


def store_wish(book: Book, current: CurrentCase, case: Case) -> None:
    """Store what is prescribed as a further revision; facts in it are not looked at."""
    with book.transaction() as step:
        store_wish_in(step, wish_of(case), current)


def store_wish_in(step: Transaction, wish: Case, current: CurrentCase) -> None:
    """Store what is prescribed as one step of a larger change, with the firings that it leaves."""
    state = current.state
    left = wish.limits.firings_left
    if left in (state.firings_left, state.wish.limits.firings_left):
        limits = replace(wish.limits, firings_left=state.wish.limits.firings_left, since=state.had or None)
    else:
        limits = replace(wish.limits, since=state.firings or None)
    step.add_cases([replace(wish, limits=limits, source=wish.source)])


# ---------------------------------------------------------------- what a file may not contradict


def _stated(zone: CaseZone, case: Case) -> Reading:
    """A colour written into the case itself, as the reading that it is."""
    assert isinstance(zone.now, LabRef)
    name = f"{case.case}-{zone.tooth}-{zone.zone}"
    return Reading(
        name, lab=zone.now.lab, viewing=zone.now.viewing, stage=case.stage, tissue=zone.tissue, source=case.source
    )


def stated_of(case: Case, readings: Sequence[Reading]) -> list[tuple[CaseZone, Reading]]:
    """The zones of a file with the readings that it says they are at now."""
    found = {one.sample: one for one in readings}
    pairs = []
    for zone in case.zones:
        if isinstance(zone.now, SampleRef | LabRef):
            named = zone.now.sample if isinstance(zone.now, SampleRef) else ""
            own = f"{case.case}-{zone.tooth}-{zone.zone}"
            reading = found.get(named) or found.get(own)
            if reading is not None:
                pairs.append((zone, reading))
    return pairs


def _new_to(step: Transaction, pairs: Iterable[tuple[CaseZone, Reading]]) -> list[tuple[CaseZone, Reading]]:
    """Those readings that the book does not hold."""
    return [
        (zone, one)
        for zone, one in pairs
        if replace(one, source="") not in {replace(each, source="") for each in step.readings(one.sample)}
    ]


def _check(path: Path, case: Case, current: CurrentCase, new: Sequence[tuple[CaseZone, Reading]]) -> None:
    state, opened = current.state, current.state.opened
    began = opened.kind if opened is not None else None
    hint = say(
        "take it out of the file, or write the file anew: stainbook case write {case} {file}",
        case=case.case,
        file=path.name,
    )
    if case.stage is not None and case.stage not in (state.stage, began):
        raise FileError(
            path,
            say("stage {stage}", stage=case.stage),
            say("{stage}, as what happened has it", stage=state.stage or say("no stage")),
            hint=hint,
        )
    for zone in case.zones:
        there = state.zones.get(zone.key)
        had = there.firings if there is not None else 0
        if zone.fired and there is not None and zone.fired not in (had, _had(current, zone.key)):
            found = say("{zone} fired {times} times", zone=place(*zone.key), times=zone.fired)
            raise FileError(path, found, say("{times}, as what happened has it", times=had), hint=hint)
    blank = state.wish.blank
    if case.blank is not None and blank is not None and case.blank.name != blank.name:
        raise FileError(
            path,
            say("the blank {blank}", blank=case.blank.name),
            say("{blank}, which the piece was milled from", blank=blank.name),
            hint=hint,
        )
    for zone, reading in new:
        there = state.zones.get(zone.key)
        change = there.change if there is not None else None
        if change is not None and moment(reading.taken_at) <= moment(change.at):
            raise FileError(
                path,
                _undated(zone, reading.taken_at),
                say("one taken after it was {step} ({at})", step=step_name(change.what), at=change.at[:16]),
                hint=say("`stainbook read` stores it"),
            )


def _undated(zone: CaseZone, taken_at: str | None) -> str:
    if taken_at:
        return say("a reading of {zone} taken {at}", zone=place(*zone.key), at=taken_at)
    return say("a reading of {zone} that does not say when it was taken", zone=place(*zone.key))


def _had(current: CurrentCase, key: Key) -> int:
    opened = current.state.opened
    told = opened.told if opened is not None else None
    if isinstance(told, StepDone):
        return {(tooth, zone): count for tooth, zone, count in told.fired}.get(key, 0)
    if isinstance(told, Case):
        return next((zone.fired for zone in told.zones if zone.key == key), 0)
    return 0


# ---------------------------------------------------------------- as it was opened, and what was done since


def as_opened(current: CurrentCase) -> Case:
    """What is prescribed now with the state that the piece started from: told again with its firings and steps, it is
    the same case."""
    wish, opened = current.state.wish, current.state.opened
    began = opened.kind if opened is not None else None
    zones = tuple(replace(zone, fired=_had(current, zone.key), now=_opened_at(zone, wish.case)) for zone in wish.zones)
    left = wish.limits.firings_left + current.state.had
    told = opened.told if opened is not None else None
    accepted, returned = (told.accepted_by, told.returned) if isinstance(told, Case) else (None, None)
    limits = replace(wish.limits, firings_left=left, since=None)
    return replace(
        wish, zones=zones, stage=began, limits=limits, wish=None, accepted_by=accepted, returned=returned, source=""
    )


def steps_of(events: Iterable[Event]) -> tuple[StepDone, ...]:
    """The steps that were done to a piece, its opening first, and those that old books tell in their cases."""
    return tuple(
        replace(told, at=told.at or one.at or one.told_at, seen=None)
        for one in events
        if (told := _as_step(one)) is not None
    )


def _as_step(event: Event) -> StepDone | None:
    told = event.told
    if isinstance(told, Case) and event.what == "opened":
        had = tuple((*zone.key, zone.fired) for zone in told.zones if zone.fired)
        return StepDone(told.case, "opened", event.told_at, stage=told.stage, fired=had)
    return told if isinstance(told, StepDone) else None


# ---------------------------------------------------------------- out to a file


def write_today(book: Book, code: str, path: Path) -> None:
    """Write a case as it is now; raises UnknownNameError for another code, InputError where it cannot be written."""
    current = known_case(book, code)
    zones = tuple(_as_now(zone, current) for zone in current.case.zones)
    write_case_file(path, replace(current.case, zones=zones))


def _as_now(zone: CaseZone, current: CurrentCase) -> CaseZone:
    state = current.state.zones.get(zone.key)
    if state is not None and state.read and zone.like is None:
        return replace(zone, now=SampleRef(state.read[-1].sample))
    return replace(zone, now=None)


def write_case_file(path: Path, case: Case) -> None:
    """Write a case as a file.

    Zones that follow the short set are left to it, since a file cannot say how far they are from what is read.
    The file is there as it was or as it is, never in part: other sessions read it meanwhile.

    Raises InputError where it cannot be written; then it is as it was.
    """
    short = any(zone.like_spread is not None for zone in case.zones)
    zones = tuple(replace(zone, like=None) if zone.like_spread is not None else zone for zone in case.zones)
    text = format_case(replace(case, zones=zones))
    write(path, text + ("readings: short\n" if short else ""))
