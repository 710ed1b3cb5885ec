"""What came out of a firing, zone by zone, against what was wanted and what was expected."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from stainbook.book import Book
from stainbook.colour import ThresholdSet, delta_e_2000
from stainbook.errors import InputError, message
from stainbook.kept import Outcome
from stainbook.language import say
from stainbook.records import Case, LabRef, Reading, Viewing
from stainbook.work.case.current_case import known_case
from stainbook.work.case.expected_colour import radius_90
from stainbook.work.case.library import Library
from stainbook.work.case.zones import zone_colours
from stainbook.work.documents.book_schemas import PaintedUnread, RecordedOutcome
from stainbook.work.documents.document_parts import ColourResult
from stainbook.work.reading.compare import graded
from stainbook.work.reading.optical import lab_on_grid, optical
from stainbook.work.reading.samples import SampleColour, colour_of
from stainbook.work.reading.viewing_conditions import Asked, viewing_of
from stainbook.work.stains.predict import LabOptics, forecasts_on

Floats = NDArray[np.float64]
Key = tuple[int, str]


def targets_of(case: Case, library: Library, warnings: list[str]) -> dict[Key, SampleColour]:
    """The targets of a case's zones; where they cannot be looked up none, and a warning."""
    try:
        zones = zone_colours(case, library, optics=False) if any(zone.target for zone in case.zones) else []
    except InputError as error:
        warnings.append(say("targets of {case} are not known: {error}", case=case.case, error=message(error)))
        return {}
    return {zone.zone.key: zone.target for zone in zones if zone.target is not None}


def lab_ref(lab: Floats, viewing: Viewing) -> LabRef:
    """L*, a*, b* (3,) under a viewing as a record."""
    L, a, b = (float(value) for value in lab)
    return LabRef((L, a, b), viewing)


def seen_outcome(
    outcome: Outcome, after: Reading, target: SampleColour | None, asked: Asked, limits: ThresholdSet
) -> Outcome:
    """The outcome with its colour in the light of its target, and whether that was met: None where nobody can tell."""
    viewing = target.viewing if target else asked.viewing or viewing_of(after) or asked.usual
    got = colour_of(after, viewing, adapt=asked.adapt)
    seen = replace(outcome, got=lab_ref(got.lab, viewing))
    if target is None:
        return replace(seen, accepted=_accepted(outcome, None))
    pair = graded(got, target, limits)
    known = replace(seen, target=lab_ref(target.lab, target.viewing), to_target=pair.dE00)
    return replace(known, accepted=_accepted(outcome, pair.grade))


def _accepted(outcome: Outcome, grade: str | None) -> bool | None:
    """Not when it came back for its shade; yes when somebody accepted it; else as the grade has it, with its doubt."""
    if outcome.returned == "shade":
        return False
    if outcome.accepted_by:
        return True
    return {"within": True, "beyond": False}.get(grade or "")


def expected_outcome(outcome: Outcome, lab: LabOptics | None, warnings: list[str]) -> tuple[Outcome, RecordedOutcome]:
    """The outcome with the colour that was expected of it, and what is told of the two."""
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
        warnings.append(say("{source}: nothing can be expected: {error}", source=outcome.source, error=message(error)))
        return outcome, told
    expected = lab_ref(colour, outcome.got.viewing)
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


def unread_shown(book: Book, outcomes: Sequence[Outcome]) -> list[PaintedUnread]:
    """What was painted and fired and not read, with what each zone is expected to be now."""
    found = []
    for code in dict.fromkeys(one.case for one in outcomes):
        current = known_case(book, code)
        own = [one for one in outcomes if one.case == code]
        seen = {one.zone.key: one for one in zone_colours(current.case, current.library(book), optics=False)}
        for one in own:
            zone = seen.get((one.tooth, one.zone))
            colour = zone.seen if zone is not None else None
            shown = _shown(lab_ref(colour.lab, colour.viewing)) if colour is not None else None
            p90 = radius_90(colour.lab, colour.covariance) if colour is not None else None
            found.append(PaintedUnread(case=code, tooth=one.tooth, zone=one.zone, expected=shown, dE00_p90=p90))
    return found
