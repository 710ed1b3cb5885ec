"""Store what was really done in a firing and what came out, and say how far it was from what was expected."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from stainbook.book import Book
from stainbook.book.case_state import CaseState
from stainbook.book.events import Event, ZoneFired, in_order, opened_from
from stainbook.book.fold import fold, kind_of
from stainbook.book.marks import choice_holds
from stainbook.book.possible import cannot_stand
from stainbook.errors import InputError, UnknownNameError, message
from stainbook.files import read_outcome
from stainbook.kept import Claim, FiredZone, Firing, Outcome, Report
from stainbook.language import say
from stainbook.match.factors import LearntFactors
from stainbook.records import Case, CaseZone, LabRef, Reading, SampleRef, newest_reading
from stainbook.words.places import place
from stainbook.work.case.current_case import CurrentCase, case_of
from stainbook.work.case.library import Library
from stainbook.work.case.swap_check import asked_of_firings
from stainbook.work.documents.book_schemas import RecordedOutcome, RecordResult
from stainbook.work.firing.apprentice_check import check_apprentice
from stainbook.work.firing.came_out import expected_outcome, lab_ref, seen_outcome, targets_of, unread_shown
from stainbook.work.firing.gathered import GatheredFirings
from stainbook.work.firing.jars_taken import jars_of, jars_taken
from stainbook.work.firing.looked_on import looked_on, looks_on, with_beside
from stainbook.work.firing.report_lines import placed, strangers
from stainbook.work.firing.told_twice import told_before
from stainbook.work.reading.lab_settings import limits_in
from stainbook.work.reading.viewing_conditions import Asked
from stainbook.work.stains.held import held_shown
from stainbook.work.stains.known_stains import known_stains
from stainbook.work.stains.learnt_told import factors_told, scatters_told
from stainbook.work.stains.outcome_learning import relearn
from stainbook.work.stains.predict import LabOptics, lab_of_book

Floats = NDArray[np.float64]
Key = tuple[int, str]
_MOST_TRIES = 5  # while others store of the same cases


def record_files(
    book: Book,
    paths: Sequence[Path],
    asked: Asked | None = None,
    *,
    because: str | None = None,
    shadow: bool | None = None,
) -> RecordResult:
    """Store the outcomes of some files and learn from them; the same file again changes nothing.

    because : why outcomes that the book holds otherwise are corrected
    shadow : see `looked_on`; None: as the lab decided

    Raises InputError for files that cannot be used, stains that are not known, a firing that cannot follow what the
    piece is, and outcomes that the book holds otherwise; then nothing is stored.
    """
    asked = asked or Asked()
    loaded = [read_outcome(path, viewing=asked.of_bare_lab) for path in paths]
    reports = [report for one in loaded for report in one.records]
    result = record_reports(book, reports, asked, because=because, shadow=shadow)
    told = dict.fromkeys([*(line for one in loaded for line in one.warnings), *result.warnings])
    return result.model_copy(update={"warnings": list(told)})


def record_reports(
    book: Book,
    reports: Sequence[Report],
    asked: Asked | None = None,
    *,
    because: str | None = None,
    timed: bool = True,
    shadow: bool | None = None,
    learns: bool = True,
) -> RecordResult:
    """Store what was done in some firings and learn from it; raises InputError as `record_files` does.

    timed : the firings' times were told by somebody; else they were made up by a page, and a firing that agrees in all
        else is the same one. learns : False where more of them follows at once
    """
    for _ in range(_MOST_TRIES):
        got = GatheredFirings.of(book, {one.firing.case for one in reports}, shadow=looks_on(book, shadow))
        library = _gathered(book, reports, got, asked or Asked(), because=because, timed=timed)
        stored = got.store(book, because)
        if stored is not None:
            break
    else:
        raise InputError(say("others recorded of the same cases again and again; nothing was stored, try once more"))
    twice = got.twice
    found = relearn(book) if learns and (stored or not twice) else None
    read = [one for one in got.outcomes if one.after is not None]
    return RecordResult(
        outcomes=[_held(with_beside(*pair), pair[1], found) for pair in zip(got.told, read, strict=True)],
        painted=unread_shown(book, [one for one in got.outcomes if one.after is None]),
        learnt=factors_told(found),
        scatter=scatters_told(found),
        stored=bool(stored),
        told_by=twice[0].by if twice and not stored else None,
        told_at=twice[0].at if twice and not stored else None,
        warnings=list(dict.fromkeys([*got.warnings, *library.warnings, *asked_of_firings(book, got.outcomes)])),
    )


def _gathered(
    book: Book,
    reports: Sequence[Report],
    got: GatheredFirings,
    asked: Asked,
    *,
    because: str | None,
    timed: bool,
) -> Library:
    """Gathers what the reports tell that the book does not hold yet, as it is now; gives where it was looked up."""
    library = Library(book, asked)
    lab = _lab_of(book, got)
    _check_stains(reports, book)
    liquids = frozenset(name for name, one in book.stains().items() if one.kind == "infiltrating")
    for report in reports:
        known = told_before(book, report, library, timed=timed) if because is None else None
        if known is not None:
            got.twice.append(known)
            got.warnings.append(known.line)
            continue
        if because is None:
            check_apprentice(report, book)
        _gather(report, book, library, lab, got, liquids)
    return library


def _held(told: RecordedOutcome, outcome: Outcome, found: LearntFactors | None) -> RecordedOutcome:
    """The outcome as the learning took it."""
    if found is None or outcome.outcome not in found.held:
        return told
    one = held_shown(outcome)
    return told.model_copy(update={"held": True, "why": one.why, "next_step": one.next_step})


def _lab_of(book: Book, got: GatheredFirings) -> LabOptics | None:
    try:
        return lab_of_book(book)
    except InputError as error:
        got.warnings.append(say("nothing can be expected of these layers: {error}", error=message(error)))
        return None


def _check_stains(reports: Iterable[Report], book: Book) -> None:
    known = known_stains(book)
    for zone in [zone for report in reports for zone in report.zones]:
        for name in [name for layer in zone.layers for name in layer.pot.stains]:
            if name not in known:
                raise UnknownNameError(say("stain in {source}:", source=zone.source), name, known)


# ---------------------------------------------------------------- one firing


def _gather(
    report: Report,
    book: Book,
    library: Library,
    lab: LabOptics | None,
    got: GatheredFirings,
    liquids: frozenset[str],
) -> None:
    code = report.firing.case
    known = _known(book, code, got)
    case = known.case if known is not None else _new_case(report)
    if known is None:
        got.cases.append(case)
        got.events[code] = list(opened_from(case))
    firing = _dated(report, library, case, got)
    before = _state_before(known, firing)
    firing = _of_its_kind(firing, report, before, liquids)
    if known is not None:
        _check(known, firing, report, liquids)
        got.warnings += strangers(report, case)
        firing = replace(firing, seen=None if code in got.events else known.seen)
    got.firings.append(firing)
    library.state = known.state if known is not None else None
    targets = targets_of(case, library, got.warnings)
    limits = limits_in(book)
    lots = jars_taken(book, case, firing, report.lots)
    for zone in _all_painted(report, before, _told_of(known, firing)):
        after = library_reading(zone.after, zone, case, library) if zone.after is not None else None
        start = _before(zone, after, case, firing, before, library, got)
        outcome = _outcome(zone, firing, case, start, after, lots)
        outcome = replace(outcome, stage=before.stage if before is not None else None, claim=_claim(zone, before))
        got.readings += [reading for reading in (start, after) if reading is not None and not _is_blank(reading, case)]
        if after is None:
            wanted = targets.get(zone.key)
            got.outcomes.append(replace(outcome, target=lab_ref(wanted.lab, wanted.viewing) if wanted else None))
            continue
        outcome = seen_outcome(outcome, after, targets.get(zone.key), library.asked, limits[zone.tissue])
        outcome, told = expected_outcome(outcome, lab, got.warnings)
        got.outcomes.append(outcome)
        got.told.append(told)
    if got.shadow and before is not None and known is not None and firing.kind != "sinter":
        own = [place for place, one in enumerate(got.outcomes) if _of(one, firing)]
        found = looked_on(book, known.state.wish, before, [got.outcomes[i] for i in own], library.asked, got.warnings)
        for place, one in zip(own, found, strict=True):
            got.outcomes[place] = one
    got.events.setdefault(code, []).extend(_events(firing, [one for one in got.outcomes if _of(one, firing)]))


def _known(book: Book, code: str, got: GatheredFirings) -> CurrentCase | None:
    """A case as it is after what this run has gathered of it; None where nobody knows it."""
    events = in_order([*book.events(code), *got.events.get(code, [])])
    if not events:
        return None
    state = fold(events)
    return CurrentCase(case_of(state), state, events)


def _of(outcome: Outcome, firing: Firing) -> bool:
    return (outcome.case, outcome.fired_at) == (firing.case, firing.fired_at)


def _events(firing: Firing, outcomes: Sequence[Outcome]) -> Iterator[Event]:
    """A firing that is not stored yet, and the readings after it, as events."""
    zones = tuple(ZoneFired(o.tooth, o.zone, o.layers, o.before, o.after, o.outcome) for o in outcomes)
    number = 1 << 61
    yield Event("fired", firing.fired_at, firing, number=number, zones=zones, kind=firing.kind)
    for one in outcomes:
        if one.after is not None:
            yield Event("read", firing.fired_at, one.after, number=number + 1, place=1)


def _new_case(report: Report) -> Case:
    zones = tuple(CaseZone(zone.tooth, zone.zone, zone.tissue) for zone in report.zones)
    return Case(report.firing.case, zones, operator=report.firing.operator, source=report.source)


def _state_before(known: CurrentCase | None, firing: Firing) -> CaseState | None:
    """The case as it was when it went into the furnace; the same firing told before is not counted."""
    if known is None:
        return None
    at = Event("fired", firing.fired_at, firing, number=1 << 62)
    earlier = [one for one in known.events if one.order < at.order and not _same_firing(one, firing)]
    return fold(earlier) if any(isinstance(one.told, Case) for one in earlier) else None


def _same_firing(event: Event, firing: Firing) -> bool:
    return event.what == "fired" and event.at == firing.fired_at


def _of_its_kind(firing: Firing, report: Report, before: CaseState | None, liquids: frozenset[str]) -> Firing:
    """A firing told without a word is a sintering where the piece is unsintered and all layers soak in."""
    if firing.kind is not None:
        return firing
    used = {name for zone in report.zones for layer in zone.layers for name in layer.pot.stains}
    told = Event("fired", firing.fired_at, firing, kind="liquids" if used and used <= liquids else None)
    return replace(firing, kind=kind_of(before, told) if before is not None else "stain")


def _check(known: CurrentCase, firing: Firing, report: Report, liquids: frozenset[str]) -> None:
    """Raises InputError for a firing that cannot follow what the piece is, or makes a later event impossible."""
    zones = tuple(ZoneFired(one.tooth, one.zone, one.layers) for one in report.zones)
    new = Event("fired", firing.fired_at, firing, number=1 << 62, zones=zones, kind=firing.kind)
    others = in_order(one for one in known.events if not _same_firing(one, firing))
    why = cannot_stand(others, new, liquids=liquids)
    if why is not None:
        raise InputError(placed(report, say("{why}; nothing was stored", why=why)))


def _told_of(known: CurrentCase | None, firing: Firing) -> set[Key]:
    """The zones that the same firing was recorded with: who corrects one of them says nothing of the others."""
    return {zone.key for one in (known.events if known else ()) if _same_firing(one, firing) for zone in one.zones}


def _all_painted(report: Report, before: CaseState | None, recorded: Collection[Key]) -> list[FiredZone]:
    """The zones of the report, and those that lay painted on the piece and that no record has: they were fired too."""
    told = {zone.key for zone in report.zones} | {*recorded}
    lying = before.unfired if before is not None else ()
    tissues = {key: one.tissue for key, one in before.zones.items()} if before is not None else {}
    unread = [
        FiredZone(one.tooth, one.zone, tissues[one.tooth, one.zone], one.layers, source=report.source)
        for one in lying
        if (one.tooth, one.zone) not in told
    ]
    return [*report.zones, *unread]


def _claim(zone: FiredZone, before: CaseState | None) -> Claim | None:
    """What was claimed of the step where it was painted as chosen."""
    chosen = before.chosen.get(zone.key) if before is not None else None
    if chosen is None or before is None or not choice_holds(before, chosen) or chosen.choice.layers != zone.layers:
        return None
    return chosen.choice.claim


def _dated(report: Report, library: Library, case: Case, got: GatheredFirings) -> Firing:
    """The firing with its time: as told, else when the first zone was read, else now."""
    if report.firing.fired_at:
        return report.firing
    first = next((one for one in report.zones if one.after is not None), None)
    after = first.after if first is not None else None
    read_at = library_reading(after, first, case, library).taken_at if first is not None and after is not None else None
    when = read_at or datetime.now(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
    got.warnings.append(say("{source}: no fired_at, taken as {when}", source=report.source, when=when))
    return replace(report.firing, fired_at=when)


def library_reading(ref: SampleRef | LabRef | Reading, zone: FiredZone, case: Case, library: Library) -> Reading:
    """The reading that a zone of a firing refers to, without the place it came from."""
    if isinstance(ref, Reading):
        return replace(ref, source="")
    if isinstance(ref, LabRef):
        name = f"{case.case}-{zone.tooth}-{zone.zone}"
        by = library.asked.instrument
        return Reading(name, lab=ref.lab, viewing=ref.viewing, tissue=zone.tissue, instrument=by)
    return replace(library.sample(ref, case), source="")


def _before(
    zone: FiredZone,
    after: Reading | None,
    case: Case,
    firing: Firing,
    before: CaseState | None,
    library: Library,
    got: GatheredFirings,
) -> Reading | None:
    """As told, else the zone as it was last read since its last change; of a sintering its blank."""
    if zone.before is not None:
        return library_reading(zone.before, zone, case, library)
    there = before.zones.get(zone.key) if before is not None else None
    if firing.kind == "sinter":
        return _blank_reading(zone, case, library)
    found = list(there.read) if there is not None else []
    listed = {one.key: one for one in case.zones}.get(zone.key)
    if not found and there is not None and there.change is None and listed is not None and listed.now is not None:
        found = [library.sample(listed.now, case)] if isinstance(listed.now, SampleRef) else []
    if before is None:
        found = list(library.book.readings(f"{case.case}-{zone.tooth}-{zone.zone}"))
        found += [
            one.after for one in got.outcomes if (one.case, one.tooth, one.zone) == (case.case, *zone.key) and one.after
        ]
    others = (replace(one, source="") for one in found)
    newest = newest_reading(one for one in others if one != after)
    if newest is None and after is not None:
        got.warnings.append(
            say(
                "{source}: no reading of {zone} before the firing",
                source=zone.source,
                zone=place(*zone.key),
            )
        )
    return newest


def _blank_reading(zone: FiredZone, case: Case, library: Library) -> Reading | None:
    """The sintered colour of the blank that a piece was milled from; None where that is not known."""
    if case.blank is None:
        return None
    height = next((one.height_mm for one in case.zones if one.key == zone.key), None)
    found = library.find_named(case.blank.at(height), case)
    return replace(found, source="") if found is not None else None


def _is_blank(reading: Reading, case: Case) -> bool:
    return case.blank is not None and reading.sample in (case.blank.name, *(name for _, name in case.blank.layers))


def _outcome(
    zone: FiredZone, firing: Firing, case: Case, before: Reading | None, after: Reading | None, lots: Mapping[str, str]
) -> Outcome:
    own = next((one.finish for one in case.zones if one.key == zone.key), None)
    finish = firing.finish or own or case.finish
    return Outcome(
        case=case.case,
        tooth=zone.tooth,
        zone=zone.zone,
        tissue=zone.tissue,
        fired_at=firing.fired_at,
        layers=zone.layers,
        before=before,
        after=after,
        material=case.material,
        stage=case.stage,
        finish="none" if firing.kind == "sinter" else finish,
        operator=firing.operator or case.operator,
        programme=firing.programme or case.programme,
        furnace=firing.furnace,
        lots=jars_of(zone.layers, lots),
        recipe=zone.recipe,
        accepted_by=firing.accepted_by,
        returned=firing.returned,
        note=zone.note,
        source=zone.source,
    )
