"""Store what was really done in a firing and what came out, and say how far it was from what was expected."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from stainbook.book import Book, Transaction
from stainbook.colour import ThresholdSet, delta_e_2000
from stainbook.errors import InputError, UnknownNameError
from stainbook.files import read_outcome
from stainbook.kept import FiredZone, Firing, LabRecipe, Operator, Outcome, Report
from stainbook.match.factors import LearntFactors
from stainbook.records import (
    CLEAR,
    Case,
    CaseZone,
    LabRef,
    Layer,
    Programme,
    Reading,
    SampleRef,
    Viewing,
    newest_reading,
)
from stainbook.work.case.zones import Library, zone_colours
from stainbook.work.documents.book_schemas import RecordedOutcome, RecordResult
from stainbook.work.documents.document_parts import ColourResult
from stainbook.work.reading.lab_settings import limits_in
from stainbook.work.reading.optical import lab_on_grid, optical
from stainbook.work.reading.samples import colour_of
from stainbook.work.reading.viewing_conditions import Asked, viewing_of
from stainbook.work.stains.held import held_shown
from stainbook.work.stains.learnt_told import factors_told, scatters_told
from stainbook.work.stains.outcome_learning import relearn
from stainbook.work.stains.predict import LabOptics, forecasts_on, lab_of_book

Floats = NDArray[np.float64]


@dataclass(slots=True)
class _GatheredFirings:
    """What is to be stored, and what is told of it."""

    firings: list[Firing] = field(default_factory=list)
    outcomes: list[Outcome] = field(default_factory=list)
    readings: list[Reading] = field(default_factory=list)
    cases: list[Case] = field(default_factory=list)
    told: list[RecordedOutcome] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)


def record_files(
    book: Book, paths: Sequence[Path], asked: Asked | None = None, *, because: str | None = None
) -> RecordResult:
    """Store the outcomes of some files and learn from them; the same file again changes nothing.

    because : why outcomes that the book holds otherwise are corrected

    Raises InputError for files that cannot be used, stains that are not known, and outcomes that the book holds
    otherwise; then nothing is stored.
    """
    asked = asked or Asked()
    loaded = [read_outcome(path, viewing=asked.of_bare_lab) for path in paths]
    reports = [report for one in loaded for report in one.records]
    result = record_reports(book, reports, asked, because=because)
    told = dict.fromkeys([*(line for one in loaded for line in one.warnings), *result.warnings])
    return result.model_copy(update={"warnings": list(told)})


def record_reports(
    book: Book, reports: Sequence[Report], asked: Asked | None = None, *, because: str | None = None
) -> RecordResult:
    """Store what was done in some firings and learn from it; raises InputError as `record_files` does."""
    library = Library(book, asked or Asked())
    got = _GatheredFirings()
    lab = _lab_of(book, got)
    _check_stains(reports, lab, book)
    for report in reports:
        _gather(report, book, library, lab, got)
    with book.transaction() as step:
        _store(step, got, because)
    found = relearn(book)
    return RecordResult(
        outcomes=[_held(*pair, found) for pair in zip(got.told, got.outcomes, strict=True)],
        learnt=factors_told(found),
        scatter=scatters_told(found),
        warnings=list(dict.fromkeys([*got.warnings, *library.warnings])),
    )


def _held(told: RecordedOutcome, outcome: Outcome, found: LearntFactors | None) -> RecordedOutcome:
    """The outcome as the learning took it."""
    if found is None or outcome.outcome not in found.held:
        return told
    one = held_shown(outcome)
    return told.model_copy(update={"held": True, "why": one.why, "next_step": one.next_step})


def _lab_of(book: Book, got: _GatheredFirings) -> LabOptics | None:
    try:
        return lab_of_book(book)
    except InputError as error:
        got.warnings.append(f"nothing can be expected of these layers: {error}")
        return None


def _check_stains(reports: Iterable[Report], lab: LabOptics | None, book: Book) -> None:
    known = {CLEAR, *book.stains(), *(lab.optics.stains if lab else ())}
    for report in reports:
        for zone in report.zones:
            for name in [name for layer in zone.layers for name in layer.pot.stains]:
                if name not in known:
                    raise UnknownNameError(f"stain in {zone.source}:", name, known)


# ---------------------------------------------------------------- one firing


def _gather(report: Report, book: Book, library: Library, lab: LabOptics | None, got: _GatheredFirings) -> None:
    case = book.cases().get(report.firing.case) or _new_case(report)
    firing = _dated(report, library, case, got)
    if case.source == report.source and case not in got.cases:
        got.cases.append(case)
    got.firings.append(firing)
    targets = _targets(case, library, got)
    limits = limits_in(book)
    for zone in report.zones:
        after = library_reading(zone.after, zone, case, library)
        before = _before(zone, after, case, firing.fired_at, book, library, got)
        outcome = _outcome(zone, firing, case, before, after, report)
        outcome = _seen(outcome, targets.get(zone.key), library.asked, limits[zone.tissue])
        outcome, told = _expected(outcome, lab, got)
        got.outcomes.append(outcome)
        got.told.append(told)
        got.readings += [reading for reading in (before, after) if reading is not None]


def _new_case(report: Report) -> Case:
    zones = tuple(CaseZone(zone.tooth, zone.zone, zone.tissue) for zone in report.zones)
    return Case(report.firing.case, zones, operator=report.firing.operator, source=report.source)


def _dated(report: Report, library: Library, case: Case, got: _GatheredFirings) -> Firing:
    """The firing with its time: as told, else when the first zone was read, else now."""
    if report.firing.fired_at:
        return report.firing
    first = report.zones[0]
    read_at = library_reading(first.after, first, case, library).taken_at
    when = read_at or datetime.now(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
    got.warnings.append(f"{report.source}: no fired_at, taken as {when}")
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
    zone: FiredZone, after: Reading, case: Case, fired_at: str, book: Book, library: Library, got: _GatheredFirings
) -> Reading | None:
    """As told, else the newest reading of the zone that the book or this run holds."""
    if zone.before is not None:
        return library_reading(zone.before, zone, case, library)
    listed = {one.key: one for one in case.zones}.get(zone.key)
    named = {f"{case.case}-{zone.tooth}-{zone.zone}"}
    if listed is not None and isinstance(listed.now, SampleRef):
        named.add(listed.now.sample)
    place = case.case, zone.tooth, zone.zone
    earlier = [one for one in (*book.outcomes_of(case.case), *got.outcomes) if (one.case, one.tooth, one.zone) == place]
    again = [one.before for one in earlier if one.fired_at == fired_at]
    if again:
        return again[0]
    found = [reading for name in sorted(named) for reading in book.readings(name)] + [one.after for one in earlier]
    others = (replace(one, source="") for one in found if replace(one, source="") != after)
    newest = newest_reading(others, [one.fired_at for one in earlier])
    if newest is None:
        got.warnings.append(f"{zone.source}: no reading of {zone.tooth} {zone.zone} before the firing")
    return newest


def _outcome(
    zone: FiredZone, firing: Firing, case: Case, before: Reading | None, after: Reading, report: Report
) -> Outcome:
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
        finish=firing.finish or case.finish,
        operator=firing.operator or case.operator,
        programme=firing.programme or case.programme,
        furnace=firing.furnace,
        lots=_lots(zone.layers, {**dict(case.lots), **dict(report.lots)}),
        recipe=zone.recipe,
        accepted_by=firing.accepted_by,
        returned=firing.returned,
        note=zone.note,
        source=zone.source,
    )


def _lots(layers: Sequence[Layer], stated: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    """The jars of the stains that were used: as the layers say, else as the firing or the case does."""
    used = {name for layer in layers for name in layer.pot.stains}
    told = {stain: lot for layer in layers for stain, lot in layer.lots}
    return tuple(sorted({**{s: lot for s, lot in stated.items() if s in used}, **told}.items()))


# ---------------------------------------------------------------- what came out, against what was wanted and expected


def _targets(case: Case, library: Library, got: _GatheredFirings) -> dict[tuple[int, str], LabRef]:
    try:
        zones = zone_colours(case, library) if any(zone.target for zone in case.zones) else []
    except InputError as error:
        got.warnings.append(f"targets of {case.case} are not known: {error}")
        return {}
    return {zone.zone.key: _ref(zone.target.lab, zone.target.viewing) for zone in zones if zone.target is not None}


def _ref(lab: Floats, viewing: Viewing) -> LabRef:
    L, a, b = (float(value) for value in lab)
    return LabRef((L, a, b), viewing)


def _seen(outcome: Outcome, target: LabRef | None, asked: Asked, limits: ThresholdSet) -> Outcome:
    """The outcome with its colour in the light of its target, and whether that was met."""
    viewing = target.viewing if target else asked.viewing or viewing_of(outcome.after) or asked.usual
    got = colour_of(outcome.after, viewing, adapt=asked.adapt)
    seen = replace(outcome, got=_ref(got.lab, viewing), target=target)
    if target is None:
        return replace(seen, accepted=_accepted(outcome, None, limits))
    apart = float(delta_e_2000(got.lab, np.array(target.lab)))
    return replace(seen, to_target=apart, accepted=_accepted(outcome, apart, limits))


def _accepted(outcome: Outcome, to_target: float | None, limits: ThresholdSet) -> bool | None:
    """Not when it came back for its shade; yes when somebody accepted it; else by the threshold of a known target."""
    if outcome.returned == "shade":
        return False
    if outcome.accepted_by:
        return True
    return None if to_target is None else to_target <= limits.acceptable


def _expected(outcome: Outcome, lab: LabOptics | None, got: _GatheredFirings) -> tuple[Outcome, RecordedOutcome]:
    assert outcome.got is not None
    told = RecordedOutcome(
        case=outcome.case,
        tooth=outcome.tooth,
        zone=outcome.zone,
        expected=None,
        got=_shown(outcome.got),
        dE00=None,
        held=False,
        to_target=outcome.to_target,
        accepted=outcome.accepted,
    )
    if lab is None or outcome.before is None:
        return outcome, told
    try:
        colour = _forecast(outcome, outcome.before, lab)
    except InputError as error:
        got.warnings.append(f"{outcome.source}: nothing can be expected: {error}")
        return outcome, told
    expected = _ref(colour, outcome.got.viewing)
    dE00 = float(delta_e_2000(np.array(outcome.got.lab), colour))
    shown = told.model_copy(update={"expected": _shown(expected), "dE00": dE00})
    return replace(outcome, expected=expected), shown


def _forecast(outcome: Outcome, before: Reading, lab: LabOptics) -> Floats:
    """Expected L*, a*, b* (3,)."""
    assert outcome.got is not None
    viewing = outcome.got.viewing
    body = optical(before, tissue=outcome.tissue)
    hands = lab.hands(outcome.operator, dict(outcome.lots), outcome.programme)
    key = f"{outcome.tooth} {outcome.zone}"
    finish = outcome.finish or "glaze"
    (found,) = forecasts_on(body, [outcome.layers], lab, hands, finish=finish, material=outcome.material, key=key)
    return lab_on_grid(found.reflectance, viewing) + body.lab_offset(viewing)


def _shown(colour: LabRef) -> ColourResult:
    L, a, b = colour.lab
    return ColourResult(L=L, a=a, b=b, illuminant=colour.viewing.illuminant, observer=colour.viewing.observer or None)


# ---------------------------------------------------------------- into the book


def _store(step: Transaction, got: _GatheredFirings, because: str | None) -> None:
    step.add_readings(got.readings)
    step.add_cases(got.cases)
    operators, programmes = step.operators(), step.programmes()
    named = {one.operator for one in got.firings if one.operator} - operators.keys()
    step.add_operators(Operator(name) for name in sorted(named))
    fired = {one.programme for one in got.firings if one.programme} - programmes.keys()
    step.add_programmes(Programme(name) for name in sorted(fired))
    step.add_firings(got.firings, why=because)
    step.add_outcomes(got.outcomes, why=because)
    recipes = step.recipes()
    for name in sorted({one.recipe for one in got.outcomes if one.recipe}):
        if name in recipes and recipes[name].state == "draft":
            step.revise_recipe(_tried(recipes[name]))


def _tried(recipe: LabRecipe) -> LabRecipe:
    return replace(recipe, state="tried", why="it was fired")
