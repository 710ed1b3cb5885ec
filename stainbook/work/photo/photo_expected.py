"""The spectrum expected of each zone of a case: of its last firing where that was told, else as it was last read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stainbook.book import Book
from stainbook.colour import resample
from stainbook.errors import InputError, some_of
from stainbook.kept import Outcome
from stainbook.language import say
from stainbook.records import Case, Reading
from stainbook.work.case.current_case import What, current_case
from stainbook.work.case.library import Library
from stainbook.work.case.zones import zone_colours
from stainbook.work.reading.optical import DARKEST, optical
from stainbook.work.reading.viewing_conditions import Asked
from stainbook.work.stains.predict import LabOptics, forecasts_on, lab_of_book

Floats = NDArray[np.float64]
Place = tuple[int, str]


@dataclass(frozen=True, slots=True, eq=False)
class Expected:
    """Reflectance (31,) expected of a zone, and what it comes from in words."""

    reflectance: Floats
    by: str


def expected_of(book: Book, what: What, asked: Asked) -> dict[Place, Expected]:
    """What each zone of a case is expected to look like by band; zones without any spectrum are left out.

    Raises InputError for a case that cannot be read.
    """
    current = current_case(book, what)
    return _as_read(current.case, current.library(book, asked)) | _as_fired(current.case, book)


def _as_read(case: Case, library: Library) -> dict[Place, Expected]:
    try:
        zones = zone_colours(case, library)
    except InputError:  # readings that no stain can be computed on hold no spectrum either
        return {}
    return {
        one.zone.key: Expected(one.now.reflectance, say("its reading"))
        for one in zones
        if one.now is not None and one.now.reading.is_spectral
    }


def _as_fired(case: Case, book: Book) -> dict[Place, Expected]:
    newest = {(one.tooth, one.zone): one for one in sorted(book.outcomes_of(case.case), key=lambda one: one.fired_at)}
    if not newest:
        return {}
    try:
        lab = lab_of_book(book)
    except InputError:  # nothing was calibrated
        lab = None
    found = {key: _after(outcome, lab) for key, outcome in newest.items()}
    return {key: one for key, one in found.items() if one is not None}


def _after(outcome: Outcome, lab: LabOptics | None) -> Expected | None:
    """A zone after its firing: as read where that was a spectrum, else as predicted from what was painted."""
    if outcome.after is not None and outcome.after.is_spectral:
        return Expected(_on_grid(outcome.after), say("what was read after its firing"))
    if lab is None or outcome.before is None or not outcome.before.is_spectral:
        return None
    hands = lab.hands(outcome.operator, dict(outcome.lots), outcome.programme)
    try:
        (found,) = forecasts_on(
            optical(outcome.before, tissue=outcome.tissue),
            [outcome.layers],
            lab,
            hands,
            finish=outcome.finish or "glaze",
            material=outcome.material,
            key=f"{outcome.tooth} {outcome.zone}",
        )
    except InputError:  # a stain that nothing is known of
        return None
    return Expected(found.reflectance, say("what is predicted of its firing"))


def _on_grid(reading: Reading) -> Floats:
    return np.maximum(resample(np.asarray(reading.reflectance), reading.wavelengths), DARKEST)


def said(expected: Mapping[Place, Expected], met: Mapping[Place, bool]) -> list[str]:
    """In words: of which zones the spectrum expected was taken as likely, and of which not, since they differ."""
    parts = []
    for by in dict.fromkeys(expected[place].by for place in met):
        zones = [f"{tooth} {zone}" for (tooth, zone), used in met.items() if used and expected[tooth, zone].by == by]
        parts += [say("{spectrum} taken as likely of {zones}", spectrum=by, zones=some_of(zones))] if zones else []
    unlike = [f"{tooth} {zone}" for (tooth, zone), used in met.items() if not used]
    return (
        [*parts, say("unlike the spectrum expected, which was left out: {zones}", zones=some_of(unlike))]
        if unlike
        else parts
    )
