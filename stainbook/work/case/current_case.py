"""A case as it is now: of a file by the file alone, of a code by what happened to its piece.

Where a command takes a case, what ends in ``.yaml`` or ``.yml`` or holds a path separator is a file, anything else the
code of a case in the book.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from stainbook.book import Book, Transaction
from stainbook.book.case_state import CaseState
from stainbook.book.events import WISHES, Event, opened_from
from stainbook.book.fold import fold
from stainbook.errors import UnknownNameError
from stainbook.files import read_case
from stainbook.language import joined, say, say_n
from stainbook.records import UNKNOWN_VIEWING, Case, CaseZone, NowRef, Reading, Viewing
from stainbook.stage_words import step_name
from stainbook.words.places import place
from stainbook.words.times import day
from stainbook.work.case.library import Library, guide_of
from stainbook.work.reading.viewing_conditions import Asked

What = str | Path
CASE_SUFFIXES = frozenset({".yaml", ".yml"})
Key = tuple[int, str]


@dataclass(frozen=True, slots=True)
class CurrentCase:
    """A case with the facts of today in it, the state that they come from, and what was told when it was read."""

    case: Case
    state: CaseState
    events: tuple[Event, ...] = ()
    file: Path | None = None
    warnings: tuple[str, ...] = ()

    @property
    def seen(self) -> str | None:
        """The fact that was stored last, whenever it happened: what is told now follows it; None where none was."""
        facts = [one for one in self.events if one.id and one.what not in (*WISHES, "read")]
        return max(facts, key=lambda one: one.number).id if facts else None

    def library(
        self,
        book: Book,
        asked: Asked | None = None,
        *,
        extra: Sequence[Path] = (),
        results: Mapping[Key, Reading] | None = None,
    ) -> Library:
        """Where the case's readings are looked up."""
        return Library(book, asked or Asked(), extra=extra, state=self.state, results=results or {})


NO_CASE_YET = say("the book holds no case yet: `stainbook case open FILE` brings one in, or name its file")


def is_file(what: What) -> bool:
    """Whether an argument names a case file: by its ending, or a separator in it."""
    text = str(what)
    return Path(text).suffix.lower() in CASE_SUFFIXES or "/" in text or os.sep in text


def current_case(
    book: Book, what: What, *, guide: Path | None = None, viewing: Viewing = UNKNOWN_VIEWING
) -> CurrentCase:
    """The case of a file or of a code.

    Raises InputError for a file that is none, UnknownNameError for a code that the book does not know.
    """
    if is_file(what):
        return _of_file(book, Path(what), guide, viewing)
    return known_case(book, str(what))


def known_case(book: Book | Transaction, code: str) -> CurrentCase:
    """A case of the book by its code; raises UnknownNameError where the book does not know it."""
    life = book.life(code)
    if life is None:
        raise UnknownNameError(say("case"), code, book.names("case"), none=NO_CASE_YET)
    told = [joined([code, one], ": ") for one in life.state.conflicts]
    return CurrentCase(case_of(life.state), life.state, life.events, warnings=tuple(told))


def _of_file(book: Book, path: Path, guide: Path | None, viewing: Viewing) -> CurrentCase:
    loaded = read_case(path, guide=guide_of(book, path.parent, guide), viewing=viewing)
    (case,) = loaded.records
    events = opened_from(case)
    state, told = fold(events), list(loaded.warnings)
    if case.case in book.names("case"):
        known = known_case(book, case.case)
        state = _without_older_readings(case, state, known.state)
        told += _differs(case, known, path)
    return CurrentCase(case, state, events, path, tuple(told))


def _without_older_readings(case: Case, state: CaseState, known: CaseState) -> CaseState:
    """The state of a file whose zones without a colour of their own take the book's, as read since the last change."""
    zones = dict(state.zones)
    for zone in case.zones:
        there = known.zones.get(zone.key)
        if zone.now is None and zone.like is None and there is not None and there.change is not None:
            read = tuple(one for one in there.readings if one.since)
            zones[zone.key] = replace(zones[zone.key], change=there.change, readings=read, lost=not read)
    return replace(state, zones=zones)


def as_the_book_knows(book: Book, current: CurrentCase) -> CurrentCase:
    """The case of a file with what happened to its piece, where the book knows it: a report tells what was done."""
    case = current.case
    if current.file is None or case.case not in book.names("case"):
        return current
    known = known_case(book, case.case)
    zones = tuple(replace(zone, now=_own_now(zone, known)) for zone in case.zones)
    state = replace(known.state, wish=replace(case, zones=zones))
    return CurrentCase(case_of(state), state, known.events, current.file, current.warnings)


def _own_now(zone: CaseZone, known: CurrentCase) -> NowRef | None:
    """What the file says of a zone to which nothing happened; else the book says it."""
    there = known.state.zones.get(zone.key)
    return zone.now if there is None or (there.change is None and not there.read) else None


def case_of(state: CaseState) -> Case:
    """The newest wish with the facts of today: stage, firings had and left, who accepted it, why it came back."""
    wish = state.wish
    limits = replace(wish.limits, firings_left=state.firings_left, since=None)
    return replace(
        wish,
        zones=tuple(_zone_now(zone, state) for zone in wish.zones),
        stage=state.stage,
        limits=limits,
        accepted_by=state.accepted_by,
        returned=state.returned,
        wish=None,
        source=wish.source or state.case,
    )


def _zone_now(zone: CaseZone, state: CaseState) -> CaseZone:
    found = state.zones.get(zone.key)
    return replace(zone, fired=found.firings) if found is not None else zone


def _differs(case: Case, known: CurrentCase, path: Path) -> list[str]:
    """The first difference between a file and what the book knows of its case: a line, or none."""
    said = difference(case, known.state)
    if said is None:
        return []
    return [
        say(
            "{path}: goes by the file alone; the book knows {case}: {difference}; `stainbook case write {case} FILE` "
            "writes it as it is now",
            path=path,
            case=case.case,
            difference=said,
        )
    ]


def difference(case: Case, state: CaseState) -> str | None:
    """The first thing in which a file and the book differ; None where they say the same."""
    if case.stage is not None and case.stage != state.stage:
        if state.stage is None:
            return say("it is at no stage there, {stage} in the file", stage=case.stage)
        return say("it is {known} there, {stage} in the file", known=state.stage, stage=case.stage)
    wished = {zone.key: zone.target for zone in state.wish.zones}
    for zone in case.zones:
        there = state.zones.get(zone.key)
        name = place(*zone.key)
        if there is None:
            return say("it has no zone {zone} there", zone=name)
        if zone.target != wished.get(zone.key):
            return say("the target of {zone} is another one there", zone=name)
        if there.firings != zone.fired:
            return say_n(
                "{zone} had {n} firing there, {fired} in the file",
                "{zone} had {n} firings there, {fired} in the file",
                there.firings,
                zone=name,
                fired=zone.fired,
            )
        if there.change is not None and there.firings:
            step = step_name(there.change.what)
            return say("{zone} was {step} there on {day}", zone=name, step=step, day=day(there.change.at[:10]))
    return None
