"""What one drawing of the case page is about: the case, the chosen zones, and what is to be done on each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from stainbook.faces.desk_types import CaseDesk, DoneNext, Key, Step
from stainbook.faces.view_types import CaseView
from stainbook.pages.case.page_choices import PageChoices
from stainbook.pages.shell import case_source
from stainbook.work.documents.schemas import AdvisedZone, Move


@dataclass(frozen=True)
class ShownCase:
    """The case on the page, with what is to be done next on it."""

    code: str
    desk: CaseDesk
    chosen: PageChoices
    zone: AdvisedZone
    also: tuple[AdvisedZone, ...]
    next: DoneNext

    @classmethod
    def of(cls, code: str, desk: CaseDesk, chosen: PageChoices) -> ShownCase:
        """The case with the zones chosen before, else the zone that is farthest from its target."""
        zones = {key_of(zone): zone for zone in desk.view.advised.zones}
        here = chosen.here
        if here.zone not in zones:
            here.zone = max(zones, key=lambda key: gap.dE00 if (gap := zones[key].gap) else -1.0)
        here.also = [key for key in here.also if key in zones and key != here.zone]
        also = tuple(zones[key] for key in here.also)
        return cls(code, desk, chosen, zones[here.zone], also, case_source.case(code).desk.next(desk))

    @property
    def view(self) -> CaseView:
        """The case with its gaps and next steps."""
        return self.desk.view

    @property
    def zones(self) -> tuple[AdvisedZone, ...]:
        """All chosen zones, the one that is shown first."""
        return (self.zone, *self.also)

    @property
    def partly(self) -> bool:
        """Whether the steps are still being worked out, or were stopped."""
        return self.desk.partly

    @property
    def moves(self) -> Mapping[Key, Move]:
        """What is to be done on each zone."""
        return self.next.moves

    @property
    def move(self) -> Move | None:
        """What is to be done on the zone that is shown."""
        return self.moves.get(key_of(self.zone))

    def choose(self, step: Step | None) -> None:
        """Keep a step for all chosen zones, None for the first of the advice."""
        case_source.case(self.code).desk.choose(self.desk, map(key_of, self.zones), step)


def key_of(zone: AdvisedZone) -> Key:
    """Tooth and zone."""
    return zone.tooth, zone.zone
