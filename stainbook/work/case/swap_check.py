"""Whether readings stand under another zone's name: those that come in, and those that stand already."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from stainbook.book import Book
from stainbook.book.case_state import CaseState, ZoneState
from stainbook.errors import InputError
from stainbook.kept import Outcome
from stainbook.records import NO_FIRING_STAGES, Case, CaseZone, Reading, Viewing, newest_reading
from stainbook.words.places import place
from stainbook.work.case.current_case import known_case
from stainbook.work.case.measuring_sheet import sample_of
from stainbook.work.case.standing import ZoneStanding, standings
from stainbook.work.reading.samples import colour_of
from stainbook.work.reading.swapped import (
    ReadAgain,
    as_of_another,
    question,
    stained_doubt,
    strays,
    swapped,
    swapped_pairs,
)
from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER, viewing_of

_OF_A_ZONE = re.compile(r"(.+)-\d\d-[^-]+")
ON_THE_BENCH = 40  # other pieces that a reading may be of: more than lie about at once; each is folded for it
_LIKE = np.diag(np.square([0.8, 0.3, 0.5]))  # what two zones alike differ by, as `zones` has it


def asked_of_new(book: Book, readings: Sequence[Reading]) -> list[str]:
    """Questions about readings that are not stored yet, of the cases that the book knows."""
    known = set(book.names("case"))
    codes = dict.fromkeys(found[1] for one in readings if (found := _OF_A_ZONE.fullmatch(one.sample)))
    told = []
    for code in codes:
        if code in known:
            told += asked_of_case(book, code, {one.sample: one for one in readings})
    return told


def asked_of_case(book: Book, code: str, readings: Mapping[str, Reading]) -> list[str]:
    """Questions about new readings of one case, by their samples."""
    current = known_case(book, code)
    case = current.case
    try:
        found = standings(case, current.state, current.library(book))
    except InputError:
        return []  # nothing is expected of it yet
    came = [(zone, readings[sample_of(zone, case)]) for zone in case.zones if sample_of(zone, case) in readings]
    zones = [again for zone, one in came if (again := _new(zone, found[zone.key], one)) is not None]
    return _asked(book, code, zones)


def asked_of_firings(book: Book, outcomes: Iterable[Outcome]) -> list[str]:
    """Questions about what was read after some firings, by what was expected of it."""
    firings: dict[tuple[str, str], list[ReadAgain]] = {}
    for one in outcomes:
        again = _fired(one)
        if again is not None:
            firings.setdefault((one.case, one.fired_at), []).append(again)
    return [line for (code, _), zones in firings.items() for line in _asked(book, code, zones)]


def asked_of_standing(book: Book, case: Case, state: CaseState) -> list[str]:
    """Questions about the readings that stand for the zones of a case now."""
    fired = {one.after: one for one in book.outcomes_of(case.case) if one.after is not None}
    zones = []
    for zone in case.zones:
        there = state.zones.get(zone.key)
        newest = newest_reading(there.read) if there is not None else None
        if there is None or newest is None or newest.is_photo:
            continue
        outcome = fired.get(newest)
        again = _fired(outcome) if outcome is not None else _read_twice(zone, there, newest)
        zones += [again] if again is not None else []
    return swapped(zones)


# ---------------------------------------------------------------- what is expected


def _asked(book: Book, code: str, zones: Sequence[ReadAgain]) -> list[str]:
    pairs = swapped_pairs(zones)
    named = {one.name for pair in pairs for one in pair}
    left = [one for one in strays(zones) if one.name not in named]
    others = {viewing: _of_others(book, code, viewing) for viewing in {one.viewing for one in left}}
    told = [question(*pair) for pair in pairs]
    return told + [said for one in left if (said := as_of_another(one, others[one.viewing])) is not None]


def _new(zone: CaseZone, standing: ZoneStanding, reading: Reading) -> ReadAgain | None:
    """A new reading against where its zone stands now; None where that says nothing of the zone alone."""
    there = standing.colour
    if there is None or there.is_photo or reading.is_photo or standing.basis in ("blank", "unknown"):
        return None
    viewing = _shared(there, reading)
    if viewing is None:
        return None
    expected = colour_of(there, viewing)
    doubt = expected.covariance
    if standing.expected is not None:
        doubt = doubt + standing.expected.seen_doubt(viewing)
    if standing.basis == "like":
        doubt = doubt + _LIKE
    return ReadAgain(place(*zone.key), expected.lab, doubt, colour_of(reading, viewing).lab, viewing)


def _fired(one: Outcome) -> ReadAgain | None:
    """A zone as it was read after its firing against what was expected then."""
    if one.expected is None or one.got is None or one.before is None or one.expected.viewing != one.got.viewing:
        return None
    try:
        before = colour_of(one.before, one.got.viewing).lab
    except InputError:
        return None
    expected = np.array(one.expected.lab)
    doubt = stained_doubt(before, expected)
    return ReadAgain(place(one.tooth, one.zone), expected, doubt, np.array(one.got.lab), one.got.viewing)


def _read_twice(zone: CaseZone, there: ZoneState, newest: Reading) -> ReadAgain | None:
    """A zone that was read again without any change in between."""
    last = next((one for one in reversed(there.readings) if one.reading == newest), None)
    earlier = [
        one.reading
        for one in there.readings
        if last is not None and one.changed_at == last.changed_at and one.place < last.place
    ]
    former = newest_reading(one for one in earlier if not one.is_photo)
    viewing = _shared(former, newest) if former is not None else None
    if former is None or viewing is None:
        return None
    expected = colour_of(former, viewing)
    return ReadAgain(place(*zone.key), expected.lab, expected.covariance, colour_of(newest, viewing).lab, viewing)


def _of_others(book: Book, own: str, viewing: Viewing) -> list[ReadAgain]:
    """Zones of other pieces in the lab, as they were read last, of the `ON_THE_BENCH` pieces that were in hand last."""
    heads = sorted((number, code) for code, number, out in book.case_heads() if not out and code != own)
    found = []
    for _, code in heads[-ON_THE_BENCH:]:
        other = known_case(book, code)
        if other.state.stage in NO_FIRING_STAGES:
            continue
        for zone in other.case.zones:
            there = other.state.zones.get(zone.key)
            newest = newest_reading(there.read) if there is not None else None
            if newest is not None and not newest.is_photo and viewing_of(newest) in (None, viewing):
                seen = colour_of(newest, viewing)
                found.append(ReadAgain(f"{code} {place(*zone.key)}", seen.lab, seen.covariance, seen.lab, viewing))
    return found


def _shared(one: Reading, other: Reading) -> Viewing | None:
    """The light under which two readings are compared; None where they cannot be."""
    found = {own for own in (viewing_of(one), viewing_of(other)) if own is not None}
    if not found:
        return SPECTRA_SEEN_UNDER
    return found.pop() if len(found) == 1 else None
