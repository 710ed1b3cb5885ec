"""Where a zone is now, and what that rests on: read, like another, expected, its blank, or unknown.

The first that applies: the best reading taken since the last change; the zone that it follows, where both had the same
events and that one was read since; the forecast of what was done to it; the sintered colour of its blank. A reading of
before the last change never stands for the present, whichever file it came from.
"""

from __future__ import annotations

from collections.abc import Container, Mapping
from dataclasses import dataclass, replace

import numpy as np

from stainbook.book.case_state import CaseState, FiredLayers, LastChange, ZoneState
from stainbook.book.events import moment
from stainbook.book.fold import BARE, COUNTED
from stainbook.errors import InputError, UnknownNameError, message
from stainbook.language import listed, say
from stainbook.records import BodyRef, Case, CaseZone, LabRef, Reading, SampleRef, newest_reading
from stainbook.stage_words import step_name
from stainbook.work.case.expected_colour import (
    ExpectedZone,
    ReadNeighbour,
    beside_gum_liquid,
    conditioned,
    expected_zone,
)
from stainbook.work.case.library import Library
from stainbook.work.case.likeness import are_alike, as_another, followed_reading, same_blank_layer
from stainbook.work.case.witness import shifted, sintering_of, witnesses
from stainbook.work.reading.optical import OpticalReading, optical
from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER
from stainbook.work.stains.predict import LabOptics, forecasts_on

Key = tuple[int, str]

NOT_READ_YET = say("not read yet")
A_ZONE = {"tooth": say("a tooth zone"), "gingiva": say("a gum zone")}


@dataclass(frozen=True, slots=True, eq=False)
class ZoneStanding:
    """A zone's colour now. ``basis`` is read, like, expected, blank or unknown; ``of`` the sample, zone or blank.

    ``reading`` is the one that was taken, or the blank's; ``expected`` the forecast where nothing was read since
    ``since``. ``why`` says why nothing is known.
    """

    key: Key
    basis: str
    of: str | None = None
    since: LastChange | None = None
    reading: Reading | None = None
    expected: ExpectedZone | None = None
    like: Key | None = None
    why: str | None = None

    @property
    def colour(self) -> Reading | None:
        """The reading that its colour is computed from; that of a forecast was taken by nobody."""
        if self.expected is not None:
            return self.expected.optical(f"{self.key[0]} {self.key[1]}, expected").reading
        return self.reading

    @property
    def read_at(self) -> str | None:
        """When it was read; None where it was not."""
        return self.reading.taken_at if self.reading is not None and self.basis in ("read", "like") else None


def standings(case: Case, state: CaseState, library: Library) -> dict[Key, ZoneStanding]:
    """The standing of every zone of a case; raises InputError for references that lead nowhere."""
    if library.is_of_the_book(case):
        return dict(library.book.kept(("standings", case), lambda: _standings(case, state, library)))
    return _standings(case, state, library)


def _standings(case: Case, state: CaseState, library: Library) -> dict[Key, ZoneStanding]:
    zones = {zone.key: zone for zone in case.zones}
    found = read_zones(case, state, library)
    for key, zone in zones.items():
        if key not in found and zone.like is not None and _alike(zone, zones, case, state):
            other = found.get(zone.like)
            if other is not None and other.basis == "read":
                told = f"{zone.like[0]} {zone.like[1]}"
                found[key] = replace(other, key=key, basis="like", of=told, like=zone.like)
    missing = [zone for key, zone in zones.items() if key not in found]
    return found | _not_read(missing, case, state, library, found)


def returned_read_first(zones: str) -> str:
    """Nothing is painted on what came back before it was read."""
    return say(
        "came back, not read since: clean and dry it, then read {zones} of it before anything is painted", zones=zones
    )


def read_piece_first(zones: str) -> str:
    """Nothing is painted on a sintered piece before it was read."""
    return say("sintered, not read yet: read {zones} of this piece before anything is painted", zones=zones)


def _lost(change: LastChange | None) -> str:
    step = step_name(change.what) if change is not None else say("changed")
    return say("{step} since it was read: read it", step=step)


def read_zones(case: Case, state: CaseState, library: Library) -> dict[Key, ZoneStanding]:
    """The zones of a case that were read since their last change; raises InputError as `standings` does."""
    found = ((zone.key, _as_read(zone, case, state, library)) for zone in case.zones)
    return {key: one for key, one in found if one is not None}


def gate(case: Case, state: CaseState, found: Mapping[Key, ZoneStanding]) -> str | None:
    """Why no surface stain may follow a sintering or a return yet: this piece was not read since; None where it was."""
    if state.stage not in (*BARE, "returned"):
        return None
    missing = _unread(case, {key for key, one in found.items() if one.basis == "read"})
    if not missing:
        return None
    return returned_read_first(listed(missing)) if state.stage == "returned" else read_piece_first(listed(missing))


def _unread(case: Case, read: Container[Key]) -> list[str]:
    """Of which tissues no zone was read: one of the teeth, and one of the gum where the piece has any."""
    counted = [zone for zone in case.zones if not zone.by_hand]
    return [
        word
        for tissue, word in A_ZONE.items()
        if any(zone.tissue == tissue for zone in counted)
        and not any(zone.key in read for zone in counted if zone.tissue == tissue)
    ]


def waits_to_be_read(case: Case, state: CaseState) -> bool:
    """Whether a sintered piece, or one that came back, has to be read first; no colour is worked out for it.

    As `gate` has it, by what was read since the last change, or stands in its file where nothing changed it.
    """
    if state.out or state.unfired or state.stage not in (*BARE, "returned"):
        return False
    there = {zone.key: state.zones.get(zone.key) for zone in case.zones}
    changed = {key for key, one in there.items() if one is not None and one.change is not None}
    read = {zone.key for zone in case.zones if (one := there[zone.key]) is not None and one.read}
    return bool(_unread(case, read | {zone.key for zone in case.zones if zone.now and zone.key not in changed}))


def unread_since_stained(state: CaseState) -> int:
    """How many zones took stain in the furnace on a piece of which nothing was read since; 0 where any zone was.

    No colour is worked out for it: what such zones look like is expected, and nobody saw it.
    """
    stained = [
        one.at for zone in state.zones.values() for one in zone.since_read if one.kind in COUNTED and not zone.lost
    ]
    if not stained:
        return 0
    last = max(stained, key=moment)
    read = (one.at for zone in state.zones.values() for one in zone.readings)
    return 0 if any(moment(at) >= moment(last) for at in read if at) else len(stained)


# ---------------------------------------------------------------- read


def _as_read(zone: CaseZone, case: Case, state: CaseState, library: Library) -> ZoneStanding | None:
    now = state.zones.get(zone.key)
    given = library.results.get(zone.key)
    if given is not None:
        return ZoneStanding(zone.key, "read", given.sample, now.change if now else None, given)
    if now is not None and now.change is not None:
        reading = newest_reading(now.read)
    elif zone.like is not None and zone.now is None and not (now is not None and now.read):
        return None
    else:
        reading = _at_the_start(zone, case, state, library)
    if reading is None:
        return None
    return ZoneStanding(zone.key, "read", reading.sample, now.change if now else None, reading)


def _at_the_start(zone: CaseZone, case: Case, state: CaseState, library: Library) -> Reading | None:
    """The reading of a zone to which nothing happened since its case was opened; None of an unsintered piece."""
    if state.stage == "green" or isinstance(zone.now, BodyRef):
        return None
    if isinstance(zone.now, SampleRef):
        return library.sample(zone.now, case)
    if isinstance(zone.now, LabRef):
        return library.typed(zone.now, f"{case.case} {zone.tooth} {zone.zone}", case, zone.tissue)
    return library.kept(f"{case.case}-{zone.tooth}-{zone.zone}", case)


def _alike(zone: CaseZone, zones: Mapping[Key, CaseZone], case: Case, state: CaseState) -> bool:
    """Whether a zone may stand as the one that it follows: of one layer of the blank, with the same events."""
    other = zones.get(zone.like) if zone.like is not None else None
    if other is None or not same_blank_layer(case, zone, other):
        return False
    return are_alike(state.zones.get(zone.key), state.zones.get(other.key))


# ---------------------------------------------------------------- not read


def _not_read(
    zones: list[CaseZone], case: Case, state: CaseState, library: Library, read: Mapping[Key, ZoneStanding]
) -> dict[Key, ZoneStanding]:
    found: dict[Key, ZoneStanding] = {}
    forecasts: dict[str, dict[Key, ExpectedZone]] = {}
    starts: dict[Key, _ForecastStart] = {}
    for zone in zones:
        now = state.zones.get(zone.key) or ZoneState(zone.key, zone.tissue)
        one = _start(zone, now, case, state, library)
        if isinstance(one, ZoneStanding):
            found[zone.key] = one
            continue
        starts[zone.key] = one
        expected = _forecast(zone, one, case, state, library)
        if isinstance(expected, str):
            found[zone.key] = ZoneStanding(zone.key, "unknown", None, now.change, why=expected)
            continue
        last = one.zone.since_read[-1].at if one.zone.since_read else ""
        forecasts.setdefault(last, {})[zone.key] = expected
    for at, group in forecasts.items():
        moved = conditioned(group, _neighbours(at, case, state, library, read) if at else [], SPECTRA_SEEN_UNDER)
        moved |= _by_discs({key: one for key, one in moved.items() if starts[key].from_blank}, starts, case, library)
        gum = [key for key in moved if starts[key].zone.tissue == "gingiva" and starts[key].took_liquid]
        for key, expected in beside_gum_liquid(moved, gum).items():
            change = state.zones[key].change if key in state.zones else None
            of, like = starts[key].of, starts[key].like
            found[key] = ZoneStanding(key, "expected", of, change, expected.start.reading, expected, like)
    return found


@dataclass(frozen=True, slots=True)
class _ForecastStart:
    """The reading that a forecast starts from, whose it is, and the zone with what happened to it since."""

    reading: Reading
    of: str
    zone: ZoneState
    like: Key | None = None
    blank: str | None = None  # where it starts from the blank's own reading

    @property
    def took_liquid(self) -> bool:
        """True for a zone that took liquid since it was read."""
        return bool(self.zone.soaked) or any(one.kind == "sinter" and one.layers for one in self.zone.since_read)

    @property
    def from_blank(self) -> bool:
        """True for a zone of which nothing is known but its blank, what soaked in, and the sintering."""
        return self.blank is not None and all(one.kind == "sinter" for one in self.zone.since_read)


def _start(
    zone: CaseZone, now: ZoneState, case: Case, state: CaseState, library: Library
) -> _ForecastStart | ZoneStanding:
    """Where a forecast starts from; a standing where none is needed or there is none."""
    earlier = newest_reading(one.reading for one in now.readings)
    if zone.like is not None and state.stage != "green" and (earlier is None or now.lost):
        other = next((one for one in case.zones if one.key == zone.like), zone)
        followed = followed_reading(now, state.zones.get(other.key)) if same_blank_layer(case, zone, other) else None
        if followed is not None:
            return _ForecastStart(followed.reading, f"{other.tooth} {other.zone}", followed.zone, zone.like)
    if now.lost:
        return ZoneStanding(zone.key, "unknown", None, now.change, why=_lost(now.change))
    if earlier is None and now.change is not None and isinstance(zone.now, SampleRef | LabRef):
        earlier = _first(zone, case, library)
    if earlier is not None and state.stage != "green":
        return _ForecastStart(earlier, earlier.sample, now)
    name = _blank(zone, case)
    if name is None:
        return ZoneStanding(zone.key, "unknown", None, now.change, why=NOT_READ_YET)
    reading = library.named(name, say("blank"), case)
    if state.stage == "green" and not now.soaked:
        return ZoneStanding(zone.key, "blank", name, now.change, reading)
    if state.stage != "green" and not now.fired and now.change is None and not isinstance(zone.now, BodyRef):
        return ZoneStanding(zone.key, "unknown", None, None, why=NOT_READ_YET)
    return _ForecastStart(reading, name, now, blank=name)


def _by_discs(
    zones: Mapping[Key, ExpectedZone], starts: Mapping[Key, _ForecastStart], case: Case, library: Library
) -> dict[Key, ExpectedZone]:
    """Zones that were sintered and not read, moved by what was read of the discs of that sintering."""
    sintering = sintering_of(case, library) if zones and case.stage != "green" else None
    if sintering is None:
        return {}
    found: dict[Key, ExpectedZone] = {}
    for blank in dict.fromkeys(starts[key].blank for key in zones):
        own = {key: one for key, one in zones.items() if starts[key].blank == blank}
        found |= shifted(own, witnesses(sintering, blank or "", case, library), SPECTRA_SEEN_UNDER)
    return found


def _first(zone: CaseZone, case: Case, library: Library) -> Reading | None:
    """The reading that a case was opened with, of before all changes."""
    if isinstance(zone.now, LabRef):
        return library.typed(zone.now, f"{case.case} {zone.tooth} {zone.zone}", case, zone.tissue)
    return library.find_sample(zone.now, case) if isinstance(zone.now, SampleRef) else None


def _blank(zone: CaseZone, case: Case) -> str | None:
    if isinstance(zone.now, BodyRef):
        return zone.now.name
    return case.blank.at(zone.height_mm) if case.blank is not None else None


def _forecast(
    zone: CaseZone, begin: _ForecastStart, case: Case, state: CaseState, library: Library
) -> ExpectedZone | str:
    """What the zone is expected to be, or why nothing can be said."""
    now, reading = begin.zone, begin.reading
    since = list(now.since_read)
    if now.soaked:
        since.append(FiredLayers("", "sinter", now.soaked))
    try:
        lab = library.optics
        start = library.pieces.laid_on(
            optical(reading, tissue=zone.tissue, body=library.body(reading.sample)), case.material
        )
        start = as_another(start, zone.like_spread) if begin.like is not None else start
        return expected_zone(now, start, since, case, lab)
    except UnknownNameError:
        raise
    except InputError as error:
        return say("not read since, and nothing can be expected: {error}", error=message(error))


def _neighbours(
    at: str, case: Case, state: CaseState, library: Library, read: Mapping[Key, ZoneStanding]
) -> list[ReadNeighbour]:
    """The zones of one firing that were painted and read after it."""
    found = []
    lab: LabOptics = library.optics
    for key, standing in read.items():
        zone = state.zones.get(key)
        if zone is None or standing.basis != "read" or standing.reading is None or standing.reading.is_photo:
            continue
        last = zone.fired[-1] if zone.fired else None
        before = last.before if last is not None else None
        if last is None or last.at != at or before is None or not last.layers:
            continue
        try:
            one = _neighbour(zone, last, before, standing.reading, case, lab, library)
        except InputError:
            continue
        found.append(one)
    return found


def _neighbour(
    zone: ZoneState,
    last: FiredLayers,
    before: Reading,
    after: Reading,
    case: Case,
    lab: LabOptics,
    library: Library,
) -> ReadNeighbour:
    start = library.pieces.laid_on(optical(before, tissue=zone.tissue), case.material)
    came: OpticalReading = library.pieces.laid_on(optical(after, tissue=zone.tissue), case.material)
    hands = lab.hands(last.operator or case.operator, {**dict(case.lots), **dict(last.lots)}, last.programme)
    finish = "none" if last.kind == "sinter" else "glaze"
    key = f"{zone.key[0]} {zone.key[1]}"
    (found,) = forecasts_on(start, [last.layers], lab, hands, finish=finish, material=case.material, key=key)
    return ReadNeighbour(found, np.log(came.reflectance), came.ln_covariance)


# ---------------------------------------------------------------- what may come next


def no_step_yet(case: Case, state: CaseState, found: Mapping[Key, ZoneStanding], key: Key) -> str | None:
    """Why nothing may be painted on a zone as the piece is now; None where something may."""
    zone = next((one for one in case.zones if one.key == key), None)
    if zone is not None and zone.by_hand:
        return BY_HAND
    if state.out:
        return AT_THE_CLINIC
    there = state.zones.get(key)
    if state.stage == "green":
        if state.dried:
            return SINTER_NOW
        return COLOURED if there is not None and there.coloured else None
    if there is not None and there.unfired:
        return UNFIRED
    return gate(case, state, found)


BY_HAND = say("layered by hand: listed, no part of any plan or chance")
AT_THE_CLINIC = say("at the clinic for a try-in: note that it is back first")
COLOURED = say("coloured: dry it fully and sinter it by the maker's sheet")
SINTER_NOW = say("dried: sinter it by the maker's sheet, then read it")
UNFIRED = say("painted and not fired yet: fire it, or note that it was wiped off")
