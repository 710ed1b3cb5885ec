"""The timeline of a case: what was painted, read, expected and got, photos before and after, and notes.

It is the journal as it is folded into a case, told newest first; nothing of it is stored a second time.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from stainbook.book import Book
from stainbook.book.events import Event, moment
from stainbook.errors import InputError, UnknownNameError
from stainbook.kept import BY_MISTAKE, Outcome, Photo, StepDone
from stainbook.language import joined, say, say_n
from stainbook.records import Reading
from stainbook.stage_words import STEPS
from stainbook.words.places import place
from stainbook.work.case.current_case import CurrentCase, known_case
from stainbook.work.case.hand_desk import told_event
from stainbook.work.case.measuring_sheet import sample_of
from stainbook.work.case.open_case import now
from stainbook.work.documents.schemas import ColourResult
from stainbook.work.firing.corrections import reading_shown, ref_shown
from stainbook.work.stains.painted import liquids_of, told_layers

Key = tuple[int, str]
_UNTOLD = frozenset({"chosen", "stated"})  # wishes, and what only books of before tell
_TOGETHER = 600.0  # seconds within which readings by one hand are told as one


@dataclass(frozen=True, slots=True)
class TimelineZone:
    """One zone of an entry: what was painted on it, or what it was expected to be and what was read."""

    zone: str
    painted: str = ""
    expected: ColourResult | None = None
    got: ColourResult | None = None
    to_target: float | None = None  # ΔE00
    held: bool = False


@dataclass(frozen=True, slots=True)
class TimelineEntry:
    """Something that happened: when (UTC), in words, who told it; ``note`` is free text, ``id`` that of a note.

    ``before`` and ``after`` name the photos around a firing.
    """

    at: str
    what: str
    who: str
    kind: str
    zones: tuple[TimelineZone, ...] = ()
    note: str = ""
    id: str = ""
    before: str | None = None
    after: str | None = None


def timeline(book: Book, code: str) -> tuple[TimelineEntry, ...]:
    """What happened to a case, the newest first; raises UnknownNameError for a case that the book does not know."""
    current = known_case(book, code)
    outcomes = book.outcomes_of(code)
    photos = [photo for photo, _ in book.photos(code) if photo.subject == "piece"]
    liquids = liquids_of(book.stains().values())
    entries: list[TimelineEntry] = []
    for some in _grouped(one for one in current.events if one.what not in _UNTOLD):
        first = some[0]
        if first.what == "read":
            entries.append(_read(some, current))
        elif first.what == "painted":
            entries.append(_painted(first, liquids))
        elif first.what == "fired":
            entries.append(_fired(first, outcomes, photos, liquids))
        else:
            entries.append(_other(some[-1]))
    entries += [_photographed(one) for one in photos]
    return tuple(sorted(entries, key=_when, reverse=True))


def _when(entry: TimelineEntry) -> tuple[bool, datetime]:
    """The order of entries: a case was opened before all that happened to it, whatever dates these bear."""
    return entry.kind != "opened", moment(entry.at)


def _grouped(events: Iterable[Event]) -> Iterator[list[Event]]:
    """Events in their order; readings of one hand, and wishes, that follow each other at once are told together."""
    some: list[Event] = []
    for one in events:
        if some and not _goes_on(some[-1], one):
            yield some
            some = []
        some.append(one)
    if some:
        yield some


def _goes_on(before: Event, one: Event) -> bool:
    if before.what != one.what or one.what not in ("read", "prescribed") or before.author != one.author:
        return False
    return (moment(_at(one)) - moment(_at(before))).total_seconds() <= _TOGETHER


def _at(event: Event) -> str:
    return event.at or event.told_at


def _who(event: Event) -> str:
    return str(getattr(event.told, "operator", None) or event.author)


def _read(events: Sequence[Event], current: CurrentCase) -> TimelineEntry:
    zones = {sample_of(zone, current.case): place(*zone.key) for zone in current.case.zones}
    found: dict[str, TimelineZone] = {}
    for one in events:
        reading: Reading = one.told
        name = place(*one.keys[0]) if one.keys else zones.get(reading.sample, reading.sample)
        found[name] = TimelineZone(name, got=reading_shown(reading))
    said = say_n("read: {n} zone", "read: {n} zones", len(found))
    return TimelineEntry(_at(events[-1]), said, _who(events[-1]), "read", tuple(found.values()))


def _painted(event: Event, liquids: frozenset[str]) -> TimelineEntry:
    zones = tuple(TimelineZone(place(*one.key), told_layers(one.layers, liquids)) for one in event.zones)
    said = say_n("painted, not fired yet: {n} zone", "painted, not fired yet: {n} zones", len(zones))
    return TimelineEntry(_at(event), said, _who(event), "painted", zones)


def _fired(
    event: Event, outcomes: Sequence[Outcome], photos: Sequence[Photo], liquids: frozenset[str]
) -> TimelineEntry:
    own = {(one.tooth, one.zone): one for one in outcomes if one.fired_at == event.at}
    zones = tuple(
        TimelineZone(
            place(*one.key),
            told_layers(one.layers, liquids) if one.layers else "",
            ref_shown(told.expected) if (told := own.get(one.key)) else None,
            ref_shown(told.got) if told else None,
            told.to_target if told else None,
        )
        for one in event.zones
    )
    before = [one for one in photos if moment(one.taken_at) <= event.when]
    after = [one for one in photos if moment(one.taken_at) > event.when]
    said = told_event(event)
    return TimelineEntry(
        _at(event), said.what, said.who, "fired", zones,
        before=before[-1].photo if before else None, after=after[0].photo if after else None,
    )  # fmt: skip


def _other(event: Event) -> TimelineEntry:
    if event.what == "noted":
        return TimelineEntry(_at(event), STEPS["noted"], event.author, "noted", note=event.told.why or "", id=event.id)
    if event.what == "prescribed":
        return TimelineEntry(_at(event), STEPS["prescribed"], event.author, "prescribed")
    said = told_event(event)
    liquids = joined(place(*one.key) for one in event.zones)
    what = say("{step} ({zones})", step=said.what, zones=liquids) if event.zones else said.what
    return TimelineEntry(said.at, what, said.who, event.what)


def _photographed(photo: Photo) -> TimelineEntry:
    zones = tuple(TimelineZone(place(tooth, zone)) for tooth, zone, _ in photo.zones)
    return TimelineEntry(photo.taken_at, say("photographed"), "", "photo", zones, after=photo.photo)


# ---------------------------------------------------------------- notes


def note(book: Book, code: str, text: str) -> None:
    """Add a note to a case; raises InputError for an empty one. It changes nothing of the piece."""
    current = known_case(book, code)
    said = text.strip()
    if not said:
        raise InputError(say("found an empty note, expected some text"))
    book.add_steps([StepDone(code, "noted", now(), why=said, number=str(len(current.events)))])


def undo_note(book: Book, code: str, id_: str) -> None:
    """Undo a note; it stays in the history. Raises UnknownNameError where the case has no such note."""
    notes = [one.id for one in known_case(book, code).events if one.what == "noted"]
    if id_ not in notes:
        raise UnknownNameError(say("note"), id_[:16], ())
    book.undo_rows([id_], why=BY_MISTAKE)
