"""Cases as the book keeps them: what they refer to in files goes into the book with them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from stainbook.book import Transaction
from stainbook.records import BodyRef, Case, CaseZone, GuideTab, Reading, SampleRef, TabRef
from stainbook.work.case.library import Library


@dataclass(slots=True)
class KeptCase:
    """A case that refers to the book alone, and the readings that must be there with it."""

    case: Case
    readings: list[Reading] = field(default_factory=list)

    def store(self, step: Transaction) -> None:
        """Put it into the book."""
        step.add_readings(self.readings)
        step.add_cases([self.case])


def kept_case(case: Case, library: Library) -> KeptCase:
    """Look up what a case refers to; a sample whose name is not the case's own gets one that is.

    Raises InputError for references that lead nowhere.
    """
    kept = KeptCase(case)
    zones = tuple(_kept_zone(zone, kept, library) for zone in case.zones)
    kept.case = replace(case, zones=zones, folder=None)
    return kept


def _kept_zone(zone: CaseZone, kept: KeptCase, library: Library) -> CaseZone:
    now, target = zone.now, zone.target
    if isinstance(now, SampleRef) and now.file is not None:
        own = now.sample if kept.case.case in now.sample else f"{kept.case.case}-{zone.tooth}-{zone.zone}"
        kept.readings.append(replace(library.sample(now, kept.case), sample=own))
        now = SampleRef(own, None, now.stage)
    elif isinstance(now, BodyRef):
        kept.readings += _found(library, now.name, kept.case)
    if target is not None and isinstance(target.colour, SampleRef) and target.colour.file is not None:
        kept.readings.append(library.sample(target.colour, kept.case))
        target = replace(target, colour=SampleRef(target.colour.sample, None, target.colour.stage))
    elif target is not None and isinstance(target.colour, TabRef):
        tab = GuideTab(target.colour.guide, target.colour.tab, zone.zone, zone.tissue)
        kept.readings += _found(library, tab.sample, kept.case)
    return replace(zone, now=now, target=target)


def _found(library: Library, name: str, case: Case) -> Iterable[Reading]:
    found = library.find_named(name, case)
    return [found] if found is not None else []
