"""What happened to a piece, one event after the other, whatever row of the journal tells of it.

A case is what happened to one piece. Rows of every kind are read as events: case rows as what was prescribed, firings
with their outcomes as firings, readings, what was painted, chosen and done. Books of before tell some facts inside
their case rows (a stage, who accepted it); these are read as events of their own. No row is ever rewritten.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from typing import Any

from stainbook.book.entries import Entered
from stainbook.kept import Firing, Outcome, Painted, PaintedZone, StepDone
from stainbook.records import Case, Layers, Reading, SampleRef, Stain

Key = tuple[int, str]
OUT_STAGES = ("bonded", "delivered")
FIRED_STAGES = ("stained", "glazed")  # what a firing made of a piece in books of before
WISHES = frozenset({"prescribed", "chosen"})  # revised, never taken back
_START = datetime.min.replace(tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class ZoneFired:
    """What a firing tells of one zone: the layers put on for it, and the readings before and after, where there are."""

    tooth: int
    zone: str
    layers: Layers
    before: Reading | None = None
    after: Reading | None = None
    outcome: str = ""

    @property
    def key(self) -> Key:
        """Tooth and zone."""
        return self.tooth, self.zone


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened to a piece, or that was wished of it.

    ``at`` is when it happened, ``told_at`` when it was stored (both UTC, ISO 8601); ``id`` is its row's seal and
    ``number`` the row's place in the journal. ``told`` is the record that tells of it. ``zones`` are those of a firing,
    a painting or a colouring; ``keys`` those that a step was done to, empty for the whole piece.
    """

    what: str
    at: str
    told: Any = field(repr=False, default=None)
    number: int = 0
    id: str = ""
    author: str = ""
    told_at: str = ""
    zones: tuple[ZoneFired, ...] = ()
    keys: tuple[Key, ...] = ()
    kind: str | None = None  # of a firing; the stage of what was opened or stated
    after: str | None = None  # the event that its teller had seen last
    place: int = 0  # before (-1) or after (1) a firing of the same moment

    @property
    def when(self) -> datetime:
        """The moment that it happened."""
        return moment(self.at)

    @property
    def order(self) -> tuple[datetime, int, int]:
        """Events stand in the order in which they happened, those of one moment as they were stored.

        A case was opened before all that happened to it since, whatever dates these bear.
        """
        return (_START if self.what == "opened" else self.when), self.place, self.number


def moment(text: str | None) -> datetime:
    """Give a time in ISO 8601, UTC where it names no zone; the beginning of time for what is none.

    >>> moment("2026-03-01T14:05").isoformat(), moment("yesterday").year
    ('2026-03-01T14:05:00+00:00', 1)
    """
    try:
        found = datetime.fromisoformat(text or "")
    except ValueError:
        return _START
    return found if found.tzinfo else found.replace(tzinfo=UTC)


def in_order(events: Iterable[Event]) -> tuple[Event, ...]:
    """Give events in the order in which they happened, whatever the order in which they came.

    >>> days = [Event("cleaned", f"2026-03-0{day}T10:00:00Z") for day in (2, 1)]
    >>> [one.at[:10] for one in in_order(days)]
    ['2026-03-01', '2026-03-02']
    """
    return tuple(sorted(events, key=lambda one: one.order))


@dataclass(frozen=True, slots=True)
class CaseRows:
    """What a book holds of one case, as it was stored: of case rows, paintings, choices and steps every one."""

    cases: Sequence[Entered] = ()
    firings: Sequence[Entered] = ()
    outcomes: Sequence[Entered] = ()
    readings: Sequence[Entered] = ()
    painted: Sequence[Entered] = ()
    choices: Sequence[Entered] = ()
    done: Sequence[Entered] = ()
    stains: Mapping[str, Stain] = field(default_factory=dict)
    withdrawn: Collection[str] = ()  # seals of the rows that were taken back


def events_of(rows: CaseRows) -> tuple[Event, ...]:
    """The events that the rows of a case tell, in order."""
    firings = list(_firings(rows))
    steps = [*map(_step, rows.done)]
    found = [
        *_of_cases(rows.cases, firings, rows.withdrawn),
        *firings,
        *steps,
        *_readings(rows.readings, firings, [one for one in (*firings, *steps) if one.what != "opened"]),
        *_paintings(rows.painted),
        *(_event("chosen", one.record, one, one.created_at) for one in rows.choices),
    ]
    return in_order(one for one in found if one.what in WISHES or one.id not in rows.withdrawn)


def opened_from(case: Case) -> tuple[Event, ...]:
    """Give the events of a case that only a file tells of: it was opened as the file has it.

    >>> [(one.what, one.kind) for one in opened_from(crown)]
    [('opened', 'sintered')]
    """
    return (Event("opened", "", case, kind=case.stage),)


# ---------------------------------------------------------------- one kind of row each


def _event(what: str, record: Any, row: Entered, at: str, **more: Any) -> Event:
    utc = row.created_at.replace("+00:00", "Z")
    return Event(what, at or utc, record, row.number, row.seal, row.author, utc, after=_seen(record), **more)


def _seen(record: Any) -> str | None:
    found: str | None = getattr(record, "seen", None)
    return found


def _step(row: Entered) -> Event:
    one: StepDone = row.record
    zones = tuple(ZoneFired(each.tooth, each.zone, each.layers) for each in one.painted)
    return _event(one.did, one, row, one.at, zones=zones, keys=one.zones, kind=one.stage)


def _paintings(rows: Sequence[Entered]) -> Iterator[Event]:
    for row in rows:
        one: Painted = row.record
        zones = tuple(ZoneFired(each.tooth, each.zone, each.layers) for each in one.zones)
        yield _event("painted" if zones else "wiped", one, row, one.painted_at, zones=zones)


def _firings(rows: CaseRows) -> Iterator[Event]:
    liquids = {name for name, one in rows.stains.items() if one.kind == "infiltrating"}
    for row in rows.firings:
        one: Firing = row.record
        own: list[Outcome] = [each.record for each in rows.outcomes if each.record.fired_at == one.fired_at]
        zones = tuple(ZoneFired(o.tooth, o.zone, o.layers, o.before, o.after, o.outcome) for o in own)
        used = {name for zone in zones for layer in zone.layers for name in layer.pot.stains}
        kind = one.kind or ("liquids" if used and used <= liquids else None)
        yield _event("fired", one, row, one.fired_at, zones=zones, kind=kind)


def _readings(rows: Sequence[Entered], firings: Sequence[Event], changes: Sequence[Event]) -> Iterator[Event]:
    """Readings at the moment that they were taken; those that a firing tells of stand before or after it.

    One that does not say when it was taken is of before all that was told after it.
    """
    before: dict[Reading, Event] = {}
    after: dict[Reading, list[Event]] = {}
    for firing in firings:
        for zone in firing.zones:
            if zone.before is not None:
                before.setdefault(_bare(zone.before), firing)
            if zone.after is not None:
                after.setdefault(_bare(zone.after), []).append(firing)
    for row in rows:
        one = _bare(row.record)
        told = _event("read", one, row, one.taken_at or "")
        if one in after:
            for firing in after[one]:  # two firings may tell of one colour, where nobody says when it was read
                taken = max(told.at, firing.at, key=moment) if one.taken_at else firing.at
                yield replace(told, at=taken, place=1)
        elif one in before:
            firing = before[one]
            yield told if told.when < firing.when else replace(told, at=firing.at, place=-1)
        elif one.taken_at:
            yield told
        else:
            later = [told, *(each for each in changes if each.number > told.number)]
            first = min(later, key=lambda each: each.when)
            yield told if first is told else replace(told, at=first.at, place=-1)
    yield from _under_other_names({_bare(row.record) for row in rows}, firings)


def _under_other_names(known: Collection[Reading], firings: Sequence[Event]) -> Iterator[Event]:
    """The readings that only a firing tells of: their samples are not called as their zones are."""
    for firing in firings:
        for zone in firing.zones:
            for one, place in ((zone.before, -1), (zone.after, 1)):
                if one is not None and _bare(one) not in known:
                    yield replace(
                        firing, what="read", told=_bare(one), zones=(), kind=None, keys=(zone.key,), place=place
                    )


def _bare(reading: Reading) -> Reading:
    return replace(reading, source="")


def _of_cases(rows: Sequence[Entered], firings: Sequence[Event], withdrawn: Collection[str]) -> Iterator[Event]:
    """What was prescribed; of rows of before also the facts that they state."""
    last: Case | None = None
    last_number = 0
    for row in rows:
        case: Case = row.record
        if last is None:
            first = _event("opened" if case.wish is None else "prescribed", case, row, "", kind=case.stage)
            yield replace(first, at="", place=-2)  # before all that was told since, whatever dates it bears
        else:
            fired = any(last_number < one.number < row.number for one in firings) or _counted(last, case)
            if case.wish is None and row.seal not in withdrawn:
                yield from _facts(last, case, row, fired=fired)
            yield _event("prescribed", case, row, "")
        last, last_number = case, row.number


def _counted(before: Case, after: Case) -> bool:
    """Whether a row of before says that zones were fired: it was stored with a firing."""
    fired = {zone.key: zone.fired for zone in before.zones}
    return any(zone.fired > fired.get(zone.key, zone.fired) for zone in after.zones)


def _facts(before: Case, after: Case, row: Entered, *, fired: bool) -> Iterator[Event]:
    if after.accepted_by is not None and after.accepted_by != before.accepted_by:
        yield _event("accepted", StepDone(after.case, "accepted", "", by=after.accepted_by), row, "")
    if after.returned is not None and after.returned != before.returned:
        yield _event("returned", StepDone(after.case, "returned", "", why=after.returned), row, "")
    elif after.stage != before.stage and not (fired and after.stage in FIRED_STAGES):
        what = after.stage if after.stage in OUT_STAGES else "stated"
        yield _event(str(what), StepDone(after.case, str(what), "", stage=after.stage), row, "", kind=after.stage)


def samples_of_zones(wishes: Sequence[Case]) -> dict[Key, dict[str, None]]:
    """By zone the names under which its readings stand: its own, and those that its case was opened with."""
    found: dict[Key, dict[str, None]] = {}
    for wish in wishes:
        for zone in wish.zones:
            own = found.setdefault(zone.key, {f"{wishes[0].case}-{zone.tooth}-{zone.zone}": None})
            if isinstance(zone.now, SampleRef):
                own[zone.now.sample] = None
    return found


def painted_zones(zones: Iterable[ZoneFired]) -> tuple[PaintedZone, ...]:
    """Zones as records of what was painted."""
    return tuple(PaintedZone(one.tooth, one.zone, one.layers) for one in zones)
