"""The report of a case: its newest readings against their targets, and what the book tells of how it was made."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path

from stainbook.book import Book
from stainbook.colour import ThresholdSet, delta_e_2000
from stainbook.files import read_readings
from stainbook.kept import Outcome
from stainbook.language import filled, joined, say
from stainbook.records import Case, LabValues, Reading, Viewing, newest_reading
from stainbook.report.content import CaseReport, FiringReport, Key, PhotoReport, ZoneReport
from stainbook.stage_words import finish_name, stage_name, surface_name
from stainbook.words import grounds, mixes, safety
from stainbook.words.places import by_zone, place
from stainbook.words.times import day, moment
from stainbook.work.case.advise import standing_shown
from stainbook.work.case.case_plan import effect_words
from stainbook.work.case.current_case import What, as_the_book_knows, current_case
from stainbook.work.case.hand_desk import HistoryEntry, received_of
from stainbook.work.case.measuring_sheet import sample_of
from stainbook.work.case.zones import ZoneColours, shifted, zone_colours
from stainbook.work.photo.photo_store import picture_of
from stainbook.work.reading.by_eye import is_hint
from stainbook.work.reading.compare import graded
from stainbook.work.reading.lab_settings import limits_in
from stainbook.work.reading.samples import SampleColour, colour_of
from stainbook.work.reading.viewing_conditions import Asked, described
from stainbook.work.sheets.report_materials import aims_of, materials_of
from stainbook.work.stains.painted import liquids_of, soaks

LIGHTS = ("A", "LED-B3")  # beside the light of the target
PHOTO_NOTE = say("Brought to a good brightness for the eye: no colour is to be judged on it.")


@dataclass(frozen=True, slots=True)
class ReportAsked:
    """What a call for a report may state beside the case; ``results`` are readings that count before all others."""

    asked: Asked = field(default_factory=Asked)
    lab: str | None = None
    guide: Path | None = None
    results: Sequence[Path] = ()
    readings: Sequence[Path] = ()
    threshold_names: Sequence[str] = ()
    annex: bool | None = None  # the zones' numbers for the clinic; None: as the lab has it


def report_of(book: Book, what: What, wish: ReportAsked | None = None) -> tuple[CaseReport, list[str]]:
    """The report of a case, by its code or file, and warnings.

    Raises InputError for files that cannot be used and colours that cannot be compared.
    """
    wish = wish or ReportAsked()
    current = as_the_book_knows(book, current_case(book, what, guide=wish.guide, viewing=wish.asked.of_bare_lab))
    case = current.case
    outcomes = book.outcomes_of(case.case)
    results = _results(case, wish)
    library = current.library(book, wish.asked, extra=tuple(wish.readings), results=results)
    zones = zone_colours(case, library, optics=False)
    limits, liquids = limits_in(book, wish.threshold_names), liquids_of(book.stains().values())
    settings = book.settings()
    reported = tuple(
        replace(
            _zone(one, limits[one.zone.tissue], outcomes, liquids),
            by_eye=is_hint(one.zone.zone, case.material, settings),
        )
        for one in zones
    )
    told = CaseReport(
        lab=wish.lab or settings.lab or book.lab,
        case=case.case,
        made_on=datetime.now().astimezone().date().isoformat(),
        facts=tuple(_facts(case, zones, limits, outcomes)),
        lights=LIGHTS,
        zones=reported,
        firings=tuple(_firings(book, case, outcomes)),
        effects=tuple(map(effect_words, case.effects)),
        notes=tuple(_notes(zones)),
        cautions=safety.AT["report"],
        received=tuple(_received(one, book.operators()) for one in received_of(book, case.case)),
        photo=_photo(book, case.case),
        material=case.material or "",
        finish=finish_name(case.finish),
        aims=aims_of(zones, reported),
        materials=materials_of(book, current, outcomes),
        annex=settings.annex is not False if wish.annex is None else wish.annex,
    )
    return told, list(dict.fromkeys([*current.warnings, *library.warnings]))


def _received(entry: HistoryEntry, people: Collection[str]) -> str:
    """A step after the lab's work, with who noted it where that is somebody of the lab."""
    if entry.who not in people:
        return say("{day}: {event}", day=day(entry.at), event=entry.what)
    return say("{day}: {event}, noted by {who}", day=day(entry.at), event=entry.what, who=entry.who)


# ---------------------------------------------------------------- readings


def _results(case: Case, wish: ReportAsked) -> dict[Key, Reading]:
    """The newest reading of each zone in the files of results, which count before all others."""
    given = [read_readings(path, defaults=wish.asked.defaults) for path in wish.results]
    found = {}
    for zone in case.zones:
        sample = sample_of(zone, case)
        reading = newest_reading(one.get(sample) for one in given if sample in one.samples)
        if reading is not None:
            found[zone.key] = reading
    return found


# ---------------------------------------------------------------- zones


def _zone(one: ZoneColours, limits: ThresholdSet, outcomes: Sequence[Outcome], liquids: frozenset[str]) -> ZoneReport:
    zone, seen, target = one.zone, one.seen, one.target
    basis = one.standing.basis if one.standing is not None else "read"
    bare = ZoneReport(
        zone.tooth,
        zone.zone,
        zone.tissue,
        target=_lab(target) if target else None,
        put_on=tuple(
            mixes.layers(done.layers, liquid=soaks(done.layers, liquids))
            for done in outcomes
            if (done.tooth, done.zone) == zone.key and done.layers
        ),
        standing=basis,
        like=grounds.place_of(one.standing.of or "") if one.standing is not None and basis == "like" else "",
        by_hand=bool(zone.by_hand),
        note=_unknown(one) if seen is None and target is not None else say("no target") if target is None else "",
    )
    if seen is None or target is None:
        return bare
    pair = graded(seen, target, limits)
    return replace(
        bare,
        result=_lab(seen),
        light=described(seen.viewing),
        dE00=pair.dE00,
        u=pair.u,
        grade=pair.grade,
        visibility=pair.visibility or "",
        perceptible=limits.perceptible,
        acceptable=limits.acceptable,
        lights=_under_lights(one, seen, target),
        read=_read(seen.reading) if one.standing is None or one.standing.basis == "read" else "",
        note=_note(one, seen),
    )


def _unknown(one: ZoneColours) -> str:
    return (one.standing.why if one.standing is not None else None) or say("not read yet")


def _lab(colour: SampleColour) -> LabValues:
    L, a, b = (float(value) for value in colour.lab)
    return L, a, b


def _under_lights(one: ZoneColours, seen: SampleColour, target: SampleColour) -> dict[str, float | None]:
    """ΔE00 under further lights; L*a*b* alone does not tell them."""
    if not (seen.reading.is_spectral and target.reading.is_spectral):
        return dict.fromkeys(LIGHTS)
    wanted = one.zone.target or one.read_at.target
    found: dict[str, float | None] = {}
    for light in LIGHTS:
        viewing = Viewing(light, 10)
        goal = shifted(colour_of(target.reading, viewing), wanted.shift if wanted else ())
        found[light] = float(delta_e_2000(colour_of(seen.reading, viewing).lab, goal.lab))
    return found


def _read(reading: Reading) -> str:
    told = (
        reading.instrument,
        moment(reading.taken_at) if reading.taken_at else None,
        surface_name(reading.surface) if reading.surface else None,
        f"{reading.repeats} ×" if reading.repeats > 1 else None,
    )
    return joined(one for one in told if one)


def _note(one: ZoneColours, seen: SampleColour) -> str:
    told = []
    standing = one.standing
    if standing is not None and standing.basis in ("like", "expected", "blank"):
        told.append(grounds.rests_on(standing_shown(one)))
    if one.zone.by_hand:
        told.append(say("layered by hand, not counted"))
    if seen.adapted_from is not None:
        told.append(say("taken from {viewing} by L*a*b* alone, with more doubt", viewing=described(seen.adapted_from)))
    if seen.reading.is_photo:
        told.append(say("as a photo shows it"))
    if not seen.viewing.known:
        told.append(say("on this instrument's own scale"))
    return joined(told, "; ") if told else ""


# ---------------------------------------------------------------- the case


def _thresholds(one: ThresholdSet) -> str:
    limits = {"perceptible": one.perceptible, "acceptable": one.acceptable}
    return filled("{name} ({perceptible:g}, {acceptable:g})", name=one.name, **limits)


def _facts(
    case: Case, zones: Sequence[ZoneColours], limits: Mapping[str, ThresholdSet], outcomes: Sequence[Outcome]
) -> Iterator[tuple[str, str]]:
    readings = [one.seen.reading for one in zones if one.seen]
    lights = dict.fromkeys(described(one.seen.viewing) for one in zones if one.seen)
    used = [limits[tissue] for tissue in dict.fromkeys(one.zone.tissue for one in zones)]
    programmes = dict.fromkeys(done.programme for done in outcomes) or {case.programme: None}
    facts = (
        (say("material"), case.material),
        (say("stage"), stage_name(case.stage) if case.stage else None),
        (say("finish"), finish_name(case.finish)),
        (say("technician"), case.operator),
        (say("light, observer"), joined(lights)),
        (say("thresholds"), joined(map(_thresholds, used))),
        (say("instrument"), ", ".join(dict.fromkeys(one.instrument for one in readings if one.instrument))),
        (say("geometry"), ", ".join(dict.fromkeys(one.geometry for one in readings if one.geometry))),
        (say("programmes"), ", ".join(one for one in programmes if one)),
    )
    return ((label, value) for label, value in facts if value)


def _firings(book: Book, case: Case, outcomes: Sequence[Outcome]) -> Iterator[FiringReport]:
    for one in book.firings_of(case.case):
        lots = {stain: lot for done in outcomes if done.fired_at == one.fired_at for stain, lot in done.lots}
        yield FiringReport(
            fired_at=one.fired_at,
            programme=one.programme or "",
            operator=one.operator or "",
            furnace=one.furnace or "",
            lots=", ".join(f"{stain} {lot}" for stain, lot in sorted(lots.items())),
            accepted_by=one.accepted_by or "",
            returned=one.returned or "",
            kind=one.kind or "",
            checked_by=one.checked_by or "",
            minutes=one.minutes,
        )


def _photo(book: Book, case: str) -> PhotoReport | None:
    """The newest photo that the book keeps of the case, the piece's before the patient's."""
    found = picture_of(book, case)
    if found is None:
        return None
    taken, zones = day(found.taken_at), [place(tooth, zone) for tooth, zone in found.zones]
    of_patient = found.subject == "patient"
    of = say("Of the patient, {day}.", day=taken) if of_patient else say("Of the piece, {day}.", day=taken)
    outlined = [say("Outlined: {zones}.", zones=joined(zones))] if zones else []
    return PhotoReport(found.jpeg, found.width, found.height, joined([of, *outlined, PHOTO_NOTE], " "))


def _notes(zones: Sequence[ZoneColours]) -> Iterator[str]:
    unread = [one.zone.key for one in zones if one.seen is None]
    if unread:
        yield say("Without a reading or a target, and not graded: {zones}.", zones=by_zone(unread))
    yield say("Translucent depth, fluorescence, gloss, texture and effects are judged by eye.")
