"""Readings taken one by one, each stored as soon as it is typed; what looks like a slip is asked about first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from stainbook.book import Book
from stainbook.colour import delta_e_2000
from stainbook.errors import InputError
from stainbook.language import say
from stainbook.records import Case, CaseZone, Reading, Viewing
from stainbook.words.places import place
from stainbook.work.case.case_desk import layers_of
from stainbook.work.case.current_case import known_case
from stainbook.work.case.measuring_sheet import sample_of
from stainbook.work.case.standing import ZoneStanding, standings
from stainbook.work.case.typed_readings import Given, order_of, store
from stainbook.work.documents.plan_schemas import PlanResult
from stainbook.work.firing.corrections import can_be_corrected, correct_reading
from stainbook.work.firing.late_readings import correct_late, join_firing
from stainbook.work.firing.results import since_the_firing
from stainbook.work.reading.samples import colour_of
from stainbook.work.reading.typed_colour import Light, asked_under, numbers_of
from stainbook.work.reading.typing_slips import ExpectedReading, Slip, typed_reading
from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER, Asked, viewing_of

Key = tuple[int, str]

# ΔE00 that holds 9 in 10 of what stands so: of a reading taken anew, of a zone like another, of a forecast of another
# coat, of the blank before it was stained; common practice
RADIUS = {"read": 1.5, "like": 3.0, "expected": 3.0, "blank": 4.0}
AGAIN = say("typed again")
OF_OTHERS = 6.0  # ΔE00, of other zones of the same tissue on the same piece
FEWEST_OTHERS = 2


OTHERWISE = 8.0  # ΔE00, of a zone that was painted otherwise than its forecast was made for


@dataclass(frozen=True, slots=True)
class ZoneToRead:
    """One zone to be read: its sample and place, what to mind, what is expected, and what was read."""

    sample: str
    tooth: int
    zone: str
    tissue: str
    note: str | None = None
    expected: ExpectedReading | None = None
    got: tuple[float, float, float] | None = None
    apart: float | None = None  # ΔE00 between the two


@dataclass(frozen=True, slots=True)
class ReadOne:
    """What came of one typed reading: stored, or a question about it first."""

    stored: bool
    slip: Slip | None = None


def zones_to_read(book: Book, code: str) -> tuple[ZoneToRead, ...]:
    """The zones of a case to be read now, in order: what is expected, and how each was read since its last change.

    Expected is where it stands, of a zone that was read what others of its tissue show.
    """
    current = known_case(book, code)
    try:
        standing = standings(current.case, current.state, current.library(book))
    except InputError:
        standing = {}
    known = {key: found for key, one in standing.items() if (found := _stands(one)) is not None}
    read = {key: one for key, one in known.items() if standing[key].basis == "read"}
    others = _of_others(current.case, read)
    expected = {
        zone.key: others.get(zone.tissue) if zone.key in read else known.get(zone.key) or others.get(zone.tissue)
        for zone in current.case.zones
    }
    return _in_order(book, code, current.case, expected, {key: one.lab for key, one in read.items()})


def zones_to_read_after(book: Book, code: str, plan: PlanResult | None) -> tuple[ZoneToRead, ...]:
    """The zones to be read after the firing: expected as its sheet had it, read since it was painted.

    plan : what the sheet said; a zone that was painted otherwise is expected there with more doubt
    """
    current = known_case(book, code)
    painted = {(one.tooth, one.zone): one.layers for one in current.state.unfired}
    expected = {}
    for one in plan.zones if plan is not None else ():
        key, colour = (one.tooth, one.zone), one.colour
        as_said = painted.get(key, ()) == layers_of(one.painted)
        viewing = Viewing(colour.illuminant, colour.observer or 0)
        radius = max(one.radius or 0.0, RADIUS["expected"]) if as_said else OTHERWISE
        expected[key] = ExpectedReading((colour.L, colour.a, colour.b), radius, viewing)
    since = since_the_firing(book, code, first=True)
    got = {key: (one.colour.L, one.colour.a, one.colour.b) for key, one in since.items()}
    return _in_order(book, code, current.case, expected, got)


def _in_order(
    book: Book,
    code: str,
    case: Case,
    expected: Mapping[Key, ExpectedReading | None],
    got: Mapping[Key, tuple[float, float, float]],
) -> tuple[ZoneToRead, ...]:
    """The zones in the order of the sheet to read from, those that follow another one left out."""
    tissues = {zone.key: zone.tissue for zone in case.zones}
    found: dict[str, ZoneToRead] = {}
    for one in order_of(book, code):
        if one.tooth is None or one.zone is None or one.sample in found:
            continue
        key = (one.tooth, one.zone)
        there, was = expected.get(key), got.get(key)
        apart = float(delta_e_2000(np.array(was), np.array(there.lab))) if was and there else None
        found[one.sample] = ZoneToRead(one.sample, *key, tissues.get(key, "tooth"), one.note, there, was, apart)
    return tuple(found.values())


def _stands(standing: ZoneStanding) -> ExpectedReading | None:
    """A zone as it stands now; None of one that nothing is known of."""
    there = standing.colour
    if there is None or standing.basis not in RADIUS:
        return None
    viewing = viewing_of(there) or SPECTRA_SEEN_UNDER
    L, a, b = (float(one) for one in colour_of(there, viewing).lab)
    return ExpectedReading((L, a, b), RADIUS[standing.basis], viewing)


def _of_others(case: Case, read: Mapping[Key, ExpectedReading]) -> dict[str, ExpectedReading]:
    """By tissue the middle of what was read on the piece; none where little was, or under several lights."""
    found = {}
    for tissue in ("tooth", "gingiva"):
        own = [read[zone.key] for zone in case.zones if zone.tissue == tissue and zone.key in read]
        if len(own) >= FEWEST_OTHERS and len({one.viewing for one in own}) == 1:
            L, a, b = (float(one) for one in np.median([one.lab for one in own], axis=0))
            found[tissue] = ExpectedReading((L, a, b), OF_OTHERS, own[0].viewing)
    return found


def take_one(
    book: Book,
    code: str,
    sample: str,
    text: str,
    light: Light,
    expected: ExpectedReading | None,
    *,
    film: str | None = None,
    sure: bool = False,
    again: bool = False,
) -> ReadOne:
    """Store what was read of one zone, now; raises InputError for what is no colour, and a piece that is not read now.

    film : what lay over the face; nothing is expected of how it looks then
    sure : it is so, whatever was expected; again : it was typed a moment ago, and this is right; where the zone was
        painted or its firing recorded meanwhile, it is a reading of its own
    """
    zone = _zone_of(known_case(book, code).case, sample)
    name = place(*zone.key)
    asked = asked_under(book, light)
    there = _under(expected, asked) if film is None else None
    read = typed_reading(text, asked, name, tissue=zone.tissue, expected=there, sure=sure)
    if isinstance(read, Slip):
        return ReadOne(False, read)
    said = " ".join(numbers_of(text))
    if _is_of_now(book, code, sample):
        if _is_there(book, sample, replace(read, film=film)):
            return ReadOne(True)
        if again and correct_late(book, code, sample, lab=said, why=AGAIN, asked=asked):
            return ReadOne(True)
        again = again and can_be_corrected(book, code, sample)
    else:
        again = False
    if again:
        correct_reading(book, code, sample, lab=said, why=AGAIN, asked=asked, film=film)
    else:
        store(book, code, Given(said, "", b"", *light, order=(sample,), film=film))
    join_firing(book, code)
    return ReadOne(True)


def _under(expected: ExpectedReading | None, asked: Asked) -> ExpectedReading | None:
    """What is expected, where it holds under the light of the typed numbers."""
    typed = asked.of_bare_lab
    return expected if expected is not None and expected.viewing == typed else None


def _is_of_now(book: Book, code: str, sample: str) -> bool:
    """Whether a zone was read last after what lies on it was painted: an earlier reading is of another colour."""
    entered, painted = book.entered("reading", sample), book.painted(code)
    if not entered or painted is None:
        return bool(entered)
    return entered[-1].created_at.replace("+00:00", "Z") >= painted.painted_at


def _is_there(book: Book, sample: str, read: Reading) -> bool:
    """Whether the newest reading of a zone says the same: it was typed before, and what was told of it got lost."""
    newest = book.newest_of(book.readings(sample))
    if newest is None or newest.is_photo:
        return False
    return (newest.lab, newest.viewing, newest.film) == (read.lab, read.viewing, read.film)


def _zone_of(case: Case, sample: str) -> CaseZone:
    zone = next((one for one in case.zones if sample_of(one, case) == sample), None)
    if zone is None:
        raise InputError(
            say("found the sample {sample}, expected one of the zones of {case}", sample=sample, case=case.case)
        )
    return zone
