"""What a firing gave, zone by zone, as a form tells it: readings and outcomes into the book, and what was learnt."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from stainbook.book import Book
from stainbook.book.events import Event
from stainbook.book.possible import refusal
from stainbook.errors import InputError
from stainbook.kept import FiredZone, Firing, Outcome, Painted, PaintedZone, Report
from stainbook.language import say
from stainbook.records import Case, CaseZone, Layers, Reading, Stain, newest_reading
from stainbook.words.places import place
from stainbook.work.case.advise import colour_shown
from stainbook.work.case.current_case import known_case
from stainbook.work.case.measuring_sheet import sample_of
from stainbook.work.case.open_case import now
from stainbook.work.case.standing import unread_since_stained
from stainbook.work.case.typed_readings import Given, preview, store
from stainbook.work.documents.book_schemas import RecordResult
from stainbook.work.documents.schemas import ColourResult
from stainbook.work.firing.apprentice_check import UNCHECKED
from stainbook.work.firing.record import record_reports
from stainbook.work.reading.lab_settings import is_apprentice
from stainbook.work.reading.samples import colour_of
from stainbook.work.reading.typed_colour import typed_colour, typed_number
from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER, Asked, viewing_of
from stainbook.work.stains.known_stains import check_known
from stainbook.work.stains.known_stains import unknown_stains as unknown_of
from stainbook.work.stains.painted import liquids_of, painted_layers, told_layers

SOURCE = say("the result page")
Key = tuple[int, str]


@dataclass(frozen=True, slots=True)
class Since:
    """A reading of a zone that no firing has used yet, the reading before it, and how it looks.

    ``u`` is the doubt of a photo's zone in ΔE00, None for an instrument's.
    """

    reading: Reading
    before: Reading | None
    colour: ColourResult

    @property
    def u(self) -> float | None:
        """The doubt of a photo's zone."""
        return self.reading.u if self.reading.is_photo else None


@dataclass(frozen=True, slots=True)
class ZoneResult:
    """What was painted on one zone and what was read after: L*, a*, b* as typed, else what the book holds."""

    tooth: int
    zone: str
    painted: str
    lab: str = ""
    since: Since | None = None

    @property
    def key(self) -> Key:
        """Tooth and zone."""
        return self.tooth, self.zone


@dataclass(frozen=True, slots=True)
class FiringResult:
    """One firing of a case as the form tells it; ``minutes`` as typed."""

    zones: Sequence[ZoneResult]
    operator: str | None = None
    programme: str | None = None
    furnace: str | None = None
    minutes: str = ""
    illuminant: str | None = None
    observer: int | None = None
    instrument: str | None = None
    new_stains: Sequence[str] = ()  # to be entered into the lab's list
    tray: Sequence[str] = ()  # other cases that were fired with it, as they were painted
    checked_by: str = ""  # who looked at an apprentice's work before the furnace
    kind: str | None = None  # of the firing; None: stain, or a sintering where all layers are liquids
    shadow: bool | None = None  # whether the lab looks on; None: as it decided


def unknown_stains(book: Book, zones: Sequence[ZoneResult]) -> list[str]:
    """Stains that were painted and that the lab does not list; raises InputError for mixes that cannot be read."""
    return unknown_of(book, (layer for one in zones for layer in painted_layers(one.painted)))


@dataclass(frozen=True, slots=True)
class FiringNow:
    """What a form of a firing starts from: names that the lab gave, what lies unfired, readings that none has used.

    ``others`` are the codes of other cases that paint lies on, and that may stand on the same tray.
    """

    people: tuple[str, ...]
    programmes: tuple[str, ...]
    furnaces: tuple[str, ...]
    lying: Painted | None
    since: Mapping[Key, Since]
    others: tuple[str, ...] = ()
    liquids: frozenset[str] = frozenset()
    apprentices: tuple[str, ...] = ()
    unread: int = 0  # zones that were fired with stain, where nothing of the piece was read since

    @property
    def painted(self) -> dict[Key, str]:
        """What lies on each zone, as it is written into a field."""
        lying = self.lying.zones if self.lying else ()
        return {(one.tooth, one.zone): told_layers(one.layers, self.liquids) for one in lying}


def firing_now(book: Book, code: str) -> FiringNow:
    """What a form of a case's next firing starts from."""
    programmes = book.programmes()
    furnaces = dict.fromkeys(one.furnace for one in programmes.values() if one.furnace)
    since = since_the_firing(book, code)
    others = tuple(one.case for one in book.all_painted() if one.case != code)
    people, liquids = tuple(book.operators()), liquids_of(book.stains().values())
    lying, apprentices = book.painted(code), book.settings().apprentices or ()
    unread = unread_since_stained(known_case(book, code).state)
    return FiringNow(people, tuple(programmes), tuple(furnaces), lying, since, others, liquids, apprentices, unread)


# ---------------------------------------------------------------- painted, not fired yet


def note_painted(
    book: Book, code: str, zones: Sequence[ZoneResult], operator: str | None = None, *, new_stains: Sequence[str] = ()
) -> None:
    """Note what lies on a case before it is fired; without zones that it was wiped off.

    new_stains : to be entered into the lab's list

    Raises InputError for mixes that cannot be read, a stain that the lab does not know, and for a piece that nothing
    may be painted on; then nothing is stored.
    """
    stacks = [(one, painted_layers(one.painted)) for one in zones]
    used = [layer for _, layers in stacks for layer in layers]
    if set(unknown_of(book, used)) - {*new_stains}:
        check_known(book, used)
    lying = tuple(PaintedZone(one.tooth, one.zone, layers) for one, layers in stacks if layers)
    paint(book, Painted(code, now(), lying, operator), new_stains=new_stains)


def lay(book: Book, code: str, zones: Mapping[Key, Layers], operator: str | None = None) -> None:
    """Note what lies on some zones of a case before it is fired; on the others lies what was noted before.

    Raises InputError as `note_painted` does.
    """
    before = book.painted(code)
    lying = {(one.tooth, one.zone): one.layers for one in before.zones} if before else {}
    stacks = {**lying, **zones}
    check_known(book, [layer for layers in zones.values() for layer in layers])
    painted = tuple(PaintedZone(*key, layers) for key, layers in stacks.items() if layers)
    paint(book, Painted(code, now(), painted, operator or (before.operator if before else None)))


def paint(book: Book, painted: Painted, *, new_stains: Sequence[str] = ()) -> None:
    """Store what lies on a case unfired; raises InputError for other zones and a piece that may not be painted."""
    current = known_case(book, painted.case)
    known = {zone.key for zone in current.case.zones}
    odd = [place(one.tooth, one.zone) for one in painted.zones if (one.tooth, one.zone) not in known]
    if odd:
        raise InputError(say("{case} has no zone {zone}, expected one of its zones", case=painted.case, zone=odd[0]))
    why = refusal(current.state, Event("painted", painted.painted_at, painted)) if painted.zones else None
    if why is not None:
        raise InputError(say("{why}; nothing was stored", why=why))
    book.add_stains(Stain(name) for name in new_stains)
    book.add_painted(painted)


# ---------------------------------------------------------------- what the book holds since


def since_the_firing(book: Book, code: str, *, first: bool = False) -> dict[Key, Since]:
    """By zone the newest reading that the book holds and no firing has used, where another one stands before it.

    Where something was painted, only what was stored after that. ``first`` : also readings with none before them.
    """
    case = known_case(book, code).case
    painted = book.painted(code)
    outcomes = book.outcomes_of(code)
    found = {zone.key: _since(book, zone, case, painted, outcomes) for zone in case.zones if zone.like is None}
    return {key: one for key, one in found.items() if one is not None and (first or one.before is not None)}


def _since(
    book: Book, zone: CaseZone, case: Case, painted: Painted | None, outcomes: Sequence[Outcome]
) -> Since | None:
    own = [one for one in outcomes if (one.tooth, one.zone) == zone.key]
    used = {replace(one, source="") for done in own for one in (done.before, done.after) if one is not None}
    sample = sample_of(zone, case)
    holding = {replace(one, source="") for one in book.readings(sample)}
    entered = [(replace(one.record, source=""), one.created_at) for one in book.entered("reading", sample)]
    stored = [(one, at.replace("+00:00", "Z")) for one, at in entered if one in holding]
    if not stored:
        return None
    newest, stored_at = stored[-1]
    limit = painted.painted_at if painted else stored_at
    before = newest_reading([one for one, at in stored if at < limit], [one.fired_at for one in own])
    if newest in used or stored_at < limit:
        return None
    viewing = viewing_of(newest) or SPECTRA_SEEN_UNDER
    return Since(newest, before, colour_shown(colour_of(newest, viewing).lab, viewing))


# ---------------------------------------------------------------- into the book


def record_result(book: Book, code: str, told: FiringResult, given: Given | None = None) -> RecordResult:
    """Store a firing and its readings, those ``given`` for all its zones first, and learn from it.

    Raises InputError for mixes, readings and minutes that cannot be used; then no firing is stored.
    """
    if given is not None:
        told = replace(told, zones=_with_given(book, code, told.zones, given))
    at = now()
    asked = Asked(told.illuminant, told.observer, instrument=told.instrument, instruments=book.instruments())
    layers = {one.key: painted_layers(one.painted) for one in told.zones}
    if not any(layers.values()):
        raise InputError(say("found nothing painted, expected the mix and coats of one zone or more"))
    minutes = typed_number(told.minutes, say("minutes"), least=0.0) if told.minutes.strip() else None
    case = known_case(book, code).case
    painted = book.painted(code)
    places = {zone.key: zone for zone in case.zones}
    typed = {one.key: _typed(one, places, case, asked, at) for one in told.zones if one.lab.strip()}
    held = {one.key: one.since for one in told.zones if one.since and not one.lab.strip()}
    times = [one.reading.taken_at or at for one in held.values()] + [at] * bool(typed)
    others = _others(book, told.tray)
    lying = [painted, *others] if painted else others
    fired_at = max(min(times, default=at), *(one.painted_at for one in lying), "")
    after = typed | {key: _restamped(one.reading, fired_at) for key, one in held.items()}
    zones = tuple(
        FiredZone(
            *key, places[key].tissue, stack, after.get(key), held[key].before if key in held else None,
            source=f"{key[0]} {key[1]}",
        )
        for key, stack in layers.items()
        if stack
    )  # fmt: skip
    firing = Firing(
        code, fired_at, told.operator, told.programme, furnace=told.furnace, minutes=minutes, kind=told.kind,
        run=f"tray {fired_at}" if others else None, checked_by=told.checked_by.strip() or None,
    )  # fmt: skip
    book.add_stains(Stain(name) for name in told.new_stains)
    reports = [Report(firing, zones, source=SOURCE), *(fired_with(book, firing, one) for one in others)]
    return record_reports(book, reports, asked, timed=False, shadow=told.shadow)


def _with_given(book: Book, code: str, zones: Sequence[ZoneResult], given: Given) -> list[ZoneResult]:
    """The zones with the readings given for them, which are stored; a zone without one keeps what it has."""
    keys = {(one.place.tooth, one.place.zone) for one in preview(book, code, given).rows}
    store(book, code, given)
    read = since_the_firing(book, code, first=True)
    return [replace(one, since=read.get(one.key, one.since)) if one.key in keys else one for one in zones]


def _others(book: Book, tray: Sequence[str]) -> list[Painted]:
    """What lies on the other pieces of a tray; raises InputError for one that was fired or wiped off meanwhile."""
    found = [(code, book.painted(code)) for code in tray]
    for code, painted in found:
        if painted is None:
            raise InputError(say("nothing lies unfired on {code}, expected a painted piece on the tray", code=code))
    return [painted for _, painted in found if painted is not None]


def fired_with(book: Book, firing: Firing, painted: Painted) -> Report:
    """The same firing of another piece of the tray, as it was painted, not read yet."""
    tissues = {zone.key: zone.tissue for zone in known_case(book, painted.case).case.zones}
    zones = tuple(
        FiredZone(one.tooth, one.zone, tissues[one.tooth, one.zone], one.layers, source=place(one.tooth, one.zone))
        for one in painted.zones
        if (one.tooth, one.zone) in tissues
    )
    painter = painted.operator or firing.operator
    unsaid = UNCHECKED if is_apprentice(book.settings(), painter) else None  # it was fired: that is recorded
    checked = firing.checked_by or unsaid
    own = replace(firing, case=painted.case, operator=painter, minutes=None, checked_by=checked)
    return Report(own, zones, source=SOURCE)


def _typed(one: ZoneResult, places: Mapping[Key, CaseZone], case: Case, asked: Asked, at: str) -> Reading:
    """A reading after the firing as it was typed, taken now."""
    zone = places[one.tooth, one.zone]
    found = typed_colour(one.lab, asked, say("{zone}, after the firing", zone=place(*one.key)))
    return replace(found, sample=sample_of(zone, case), taken_at=at, tissue=zone.tissue, source="")


def _restamped(reading: Reading, fired_at: str) -> Reading:
    """A reading of after the firing, whatever the clock of a camera says."""
    return reading if (reading.taken_at or "") >= fired_at else replace(reading, taken_at=fired_at)
