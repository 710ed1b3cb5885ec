"""Facts corrected: a firing, what was painted on a zone, a reading. The old one is kept and named, and why.

Whatever was expected and learnt is worked out anew from what holds now.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from stainbook.apparatus import FurnaceTray
from stainbook.book import Book
from stainbook.book.entries import Entered
from stainbook.book.possible import cannot_go
from stainbook.errors import InputError
from stainbook.kept import FiredZone, Firing, Outcome, Report
from stainbook.language import say
from stainbook.records import LabRef, Reading
from stainbook.work.case.advise import colour_shown
from stainbook.work.case.current_case import known_case
from stainbook.work.case.measuring_sheet import sample_of
from stainbook.work.documents.book_schemas import RecordResult
from stainbook.work.documents.schemas import ColourResult
from stainbook.work.firing.record import record_reports
from stainbook.work.reading.samples import colour_of
from stainbook.work.reading.typed_colour import typed_colour, typed_number
from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER, Asked, viewing_of
from stainbook.work.stains.outcome_learning import learn_from
from stainbook.work.stains.painted import liquids_of, painted_layers, told_layers

SOURCE = say("a correction")
SAME_FILM = "same"  # the film over the face was the one that was said first


@dataclass(frozen=True, slots=True)
class RecordedZone:
    """One zone of a firing as it holds now; ``name`` is the outcome's in the book."""

    name: str
    tooth: int
    zone: str
    fired_at: str
    painted: str
    colour: ColourResult | None


@dataclass(frozen=True, slots=True)
class ReadZone:
    """The reading that holds for a zone now."""

    sample: str
    tooth: int
    zone: str
    taken_at: str | None
    colour: ColourResult


@dataclass(frozen=True, slots=True)
class ToldFiring:
    """What is told of a firing; ``minutes`` as typed."""

    operator: str | None = None
    programme: str | None = None
    furnace: str | None = None
    minutes: str = ""


def recorded_zones(book: Book, code: str) -> tuple[RecordedZone, ...]:
    """The zones of all firings of a case, the newest first."""
    found = sorted(book.outcomes_of(code), key=lambda one: one.fired_at, reverse=True)
    liquids = liquids_of(book.stains().values())
    return tuple(
        RecordedZone(
            one.outcome, one.tooth, one.zone, one.fired_at, told_layers(one.layers, liquids), ref_shown(one.got)
        )
        for one in found
    )


def firings_of(book: Book, code: str) -> tuple[Firing, ...]:
    """The firings of a case, the newest first."""
    return tuple(reversed(book.firings_of(code)))


def read_zones(book: Book, code: str) -> tuple[ReadZone, ...]:
    """The readings that hold for the zones of a case now."""
    case = known_case(book, code).case
    read = [(zone, sample_of(zone, case)) for zone in case.zones if zone.like is None]
    found = [(zone, sample, book.find_reading(sample, case=case.case)) for zone, sample in read]
    return tuple(
        ReadZone(sample, zone.tooth, zone.zone, one.taken_at, reading_shown(one)) for zone, sample, one in found if one
    )


# ---------------------------------------------------------------- firings and their zones


def correct_zone(book: Book, code: str, name: str, *, painted: str, lab: str, why: str, asked: Asked) -> RecordResult:
    """Correct what was painted on a zone, and where ``lab`` is not empty what was read after.

    Raises InputError for layers, colours and reasons that are none, and an outcome that the case has not.
    """
    layers = painted_layers(painted)
    if not layers:
        raise InputError(say("found nothing painted, expected mix and coats; to say that it never was, take it back"))
    old = _outcome(book, code, name)
    after = _corrected(old.after, lab, asked) if lab.strip() and old.after else old.after
    zone = replace(_zone(old), layers=layers, after=after)
    result = record_reports(book, [_report(book, old, [zone])], asked, because=_reason(why))
    if old.after is not None and after is not None and after != old.after:
        _instead(book, old.after, after, why)
    return result


def correct_after(book: Book, one: Outcome, *, lab: str, why: str, asked: Asked) -> None:
    """Correct what was read after a firing on one zone; raises InputError as `correct_zone` does."""
    assert one.after is not None
    after = _corrected(one.after, lab, asked)
    record_reports(book, [told_with(book, [(one, after)])], asked, because=_reason(why))
    _instead(book, one.after, after, why)


def correct_firing(book: Book, code: str, fired_at: str, told: ToldFiring, *, why: str) -> RecordResult:
    """Correct who fired, by which programme, in which furnace, how long; raises InputError as `correct_zone` does."""
    minutes = typed_number(told.minutes, say("minutes"), least=0.0) if told.minutes.strip() else None
    zones = [one for one in book.outcomes_of(code) if one.fired_at == fired_at]
    if not zones:
        raise InputError(
            say("{code} has no firing of {fired_at}, expected one that was recorded", code=code, fired_at=fired_at)
        )
    report = _report(book, zones[0], [_zone(one) for one in zones])
    firing = replace(
        report.firing, operator=told.operator, programme=told.programme, furnace=told.furnace, minutes=minutes
    )
    return record_reports(book, [replace(report, firing=firing)], because=_reason(why))


def take_back_firing(book: Book, code: str, fired_at: str, *, why: str) -> None:
    """Take a firing back whole, in one step: all that was recorded of its zones, and what was read after it.

    Raises InputError for no reason, no such firing, and one that a later step rests on; then nothing is changed.
    """
    take_back_firings(book, [(code, fired_at)], why=why)


def take_back_firings(
    book: Book, firings: Iterable[tuple[str, str]], *, why: str, ended: FurnaceTray | None = None
) -> None:
    """Take firings of several cases back in one step, by code and time; raises as `take_back_firing` does.

    ended : what is stored of their tray with it
    """
    said = _reason(why)
    seals = [seal for code, fired_at in firings for seal in _rows_of_firing(book, code, fired_at)]
    with book.transaction() as step:
        step.undo_rows(seals, why=said)
        if ended is not None:
            step.add_tray(ended)
    learn_from(book)


def _rows_of_firing(book: Book, code: str, fired_at: str) -> list[str]:
    """The rows that hold no longer once a firing is taken back; raises InputError where it cannot be."""
    current = known_case(book, code)
    found = next((one for one in current.events if one.what == "fired" and one.at == fired_at), None)
    if found is None:
        raise InputError(
            say("{code} has no firing of {fired_at}, expected one that was recorded", code=code, fired_at=fired_at)
        )
    stop = cannot_go(current.events, [found.id])
    if stop is not None:
        raise InputError(
            say(
                "{code}: the firing of {fired_at} is not taken back: {stop}",
                code=code,
                fired_at=fired_at[:16],
                stop=stop,
            )
        )
    rows = book.case_rows(code)
    assert rows is not None
    own = [one for one in rows.outcomes if one.record.fired_at == fired_at]
    return [found.id, *_outcome_rows(book, own, [one.record for one in rows.outcomes])]


def _outcome_rows(book: Book, own: Sequence[Entered], all_told: Sequence[Outcome]) -> list[str]:
    """The rows of outcomes, and of the readings after them that no other outcome tells of."""
    gone = {one.seal: one.record for one in own}
    left = [one for one in all_told if one not in gone.values()]
    elsewhere = {_bare(each) for one in left for each in (one.before, one.after) if each is not None}
    after = [one.after for one in gone.values() if one.after is not None and _bare(one.after) not in elsewhere]
    return [*gone, *(seal for one in after for seal in _rows_of(book, one))]


def _rows_of(book: Book, reading: Reading) -> list[str]:
    """The rows of the journal that hold a reading."""
    return [one.seal for one in book.entered("reading", reading.sample) if _bare(one.record) == _bare(reading)]


def take_back_zone(book: Book, code: str, name: str, *, why: str) -> None:
    """Let what was recorded of a zone hold no longer; raises InputError for no reason, and for no such outcome.

    The last one of a firing takes the firing with it.
    """
    old, said = _outcome(book, code, name), _reason(why)
    rows = book.case_rows(code)
    assert rows is not None
    own = [one for one in rows.outcomes if one.record.outcome == name]
    if not any(one.record.fired_at == old.fired_at for one in rows.outcomes if one not in own):
        take_back_firing(book, code, old.fired_at, why=why)
    else:
        seals = _outcome_rows(book, own, [one.record for one in rows.outcomes])
        book.undo_rows(seals, why=said)
        learn_from(book)


# ---------------------------------------------------------------- readings


def correct_reading(
    book: Book, code: str, sample: str, *, lab: str, why: str, asked: Asked, film: str | None = SAME_FILM
) -> None:
    """Correct the reading that holds for a sample of a case; without ``lab`` it is taken back.

    film : over the face, where it was another one than had been said

    Raises InputError for a colour and a reason that are none, and a reading that a firing tells of: that is corrected
    with its firing.
    """
    case = known_case(book, code).case
    old = book.find_reading(sample, case=case.case)
    if old is None:
        raise InputError(say("the book holds no reading of {sample}, expected one of this case", sample=sample))
    if _is_told(book, case.case, old):
        raise InputError(
            say("a firing tells of this reading of {sample}; correct it with its firing (Result)", sample=sample)
        )
    book.take_back(old, why=_reason(why), by=_corrected(old, lab, asked, film) if lab.strip() else None)


def can_be_corrected(book: Book, code: str, sample: str) -> bool:
    """Whether a reading of a sample holds that no firing tells of."""
    case = known_case(book, code).case.case
    held = book.find_reading(sample, case=case)
    return held is not None and not _is_told(book, case, held)


def _is_told(book: Book, code: str, reading: Reading) -> bool:
    told = {_bare(one) for done in book.outcomes_of(code) for one in (done.before, done.after) if one}
    return _bare(reading) in told


def _corrected(old: Reading, lab: str, asked: Asked, film: str | None = SAME_FILM) -> Reading:
    """The same reading with another colour, as it was typed."""
    found = typed_colour(lab, asked, old.sample)
    plain = replace(old, wavelengths=(), reflectance=(), scatter=None, repeats=1, u=None, notes=None, source="")
    over = old.film if film == SAME_FILM else film
    instrument = found.instrument or old.instrument
    return replace(plain, lab=found.lab, viewing=found.viewing, instrument=instrument, film=over)


def _instead(book: Book, old: Reading, new: Reading, why: str) -> None:
    """Let the reading of a firing give way to its correction, where the book holds it."""
    held = next((one for one in book.readings(old.sample) if _bare(one) == _bare(old)), None)
    if held is not None:
        book.take_back(held, why=why, by=new)


# ---------------------------------------------------------------- as the book has it


def _outcome(book: Book, code: str, name: str) -> Outcome:
    found = next((one for one in book.outcomes_of(code) if one.outcome == name), None)
    if found is None:
        raise InputError(say("found no {name}, expected a zone of a firing of this case", name=name))
    return found


def _report(book: Book, one: Outcome, zones: Sequence[FiredZone]) -> Report:
    firing = next(done for done in book.firings_of(one.case) if done.fired_at == one.fired_at)
    return Report(firing, tuple(zones), one.lots, SOURCE)


def told_with(book: Book, read: Sequence[tuple[Outcome, Reading]]) -> Report:
    """Some outcomes of one firing as a report tells them, each with what was read after it."""
    lots = tuple(dict(pair for one, _ in read for pair in one.lots).items())
    zones = [replace(_zone(one), after=after) for one, after in read]
    return replace(_report(book, read[0][0], zones), lots=lots)


def _zone(one: Outcome) -> FiredZone:
    return FiredZone(
        one.tooth, one.zone, one.tissue, one.layers, one.after, one.before, one.recipe, one.note, source=SOURCE
    )


def _reason(why: str) -> str:
    if not why.strip():
        raise InputError(say("found no reason, expected why it was wrong; it is kept with the correction"))
    return why.strip()


def _bare(reading: Reading) -> Reading:
    return replace(reading, source="")


def ref_shown(colour: LabRef | None) -> ColourResult | None:
    """A colour of a record as documents have it; None of none."""
    if colour is None:
        return None
    L, a, b = colour.lab
    return ColourResult(L=L, a=a, b=b, illuminant=colour.viewing.illuminant, observer=colour.viewing.observer or None)


def reading_shown(reading: Reading) -> ColourResult:
    """The colour of a reading under its own light, of a spectrum under the usual one."""
    viewing = viewing_of(reading) or SPECTRA_SEEN_UNDER
    return colour_shown(colour_of(reading, viewing).lab, viewing)
