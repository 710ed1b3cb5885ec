"""Where each zone of a case is and how far from its target, before any stain was calibrated: no odds, no step."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stainbook.book import Book
from stainbook.book.case_state import CaseState
from stainbook.colour import ThresholdSet
from stainbook.language import say
from stainbook.records import NO_FIRING_STAGES, Case
from stainbook.work.case.advise import NO_TARGET, NOT_READ, colour_shown, gap_of, standing_shown
from stainbook.work.case.current_case import CurrentCase, What, current_case
from stainbook.work.case.zones import ZoneColours, zone_colours
from stainbook.work.documents.schemas import AdvisedCase, AdvisedZone, Gap
from stainbook.work.reading.by_eye import is_hint
from stainbook.work.reading.lab_settings import limits_in
from stainbook.work.reading.viewing_conditions import OWN_SCALE
from stainbook.work.stains.learnt import SCOPE

NO_STAINS = say("no step yet: no stain was calibrated")
NO_LIGHT = say(
    "its reading is {scale}, from which no stain can be computed: state its light and observer", scale=OWN_SCALE
)


@dataclass(frozen=True, slots=True, eq=False)
class CaseGaps:
    """A case with its gaps; ``why`` says why no step can be worked out, None where advice can be asked for."""

    case: Case
    zones: tuple[ZoneColours, ...]
    shown: AdvisedCase
    why: str | None
    warnings: tuple[str, ...] = ()
    state: CaseState | None = None


def case_gaps(book: Book, what: What) -> CaseGaps:
    """The gaps of a case, by its code or file.

    Raises InputError for files that cannot be used and colours that cannot be compared.
    """
    return gaps_of(book, current_case(book, what))


def gaps_of(book: Book, current: CurrentCase) -> CaseGaps:
    """The gaps of a case; raises InputError for references that lead nowhere and colours that cannot be compared."""
    case, warnings = current.case, current.warnings
    library = current.library(book)
    zones = zone_colours(case, library, optics=False)
    why = _why(book, case, zones)
    limits = limits_in(book)
    settings = book.settings()
    shown = [
        _zone(
            one,
            why,
            gap_of(one, limits) if one.seen and one.target else None,
            limits,
            counted=not is_hint(one.zone.zone, case.material, settings),
        )
        for one in zones
    ]
    told = (*warnings, *library.warnings)
    advised = AdvisedCase(case=case.case, accept=None, zones=shown)
    return CaseGaps(case, tuple(zones), advised, why, told, current.state)


def _why(book: Book, case: Case, zones: Sequence[ZoneColours]) -> str | None:
    if case.stage in NO_FIRING_STAGES:
        return None  # the advice says what this stage allows
    if any(one.seen is not None and not one.seen.viewing.known for one in zones):
        return NO_LIGHT
    return None if SCOPE in book.names("fit") else NO_STAINS


def _zone(
    colours: ZoneColours, why: str | None, gap: Gap | None, limits: Mapping[str, ThresholdSet], *, counted: bool
) -> AdvisedZone:
    zone, seen, target = colours.zone, colours.seen, colours.target
    return AdvisedZone(
        tooth=zone.tooth,
        zone=zone.zone,
        tissue=zone.tissue,
        gap=gap,
        verdict="stain",
        moves=[],
        why=why if gap else NO_TARGET if target is None else (colours.standing and colours.standing.why) or NOT_READ,
        now=colour_shown(seen.lab, seen.viewing) if seen else None,
        target=colour_shown(target.lab, target.viewing) if target else None,
        thresholds=limits[zone.tissue].name,
        standing=standing_shown(colours),
        counted=counted,
    )
