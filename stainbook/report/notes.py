"""What is special about the zones of a report, each kind of it in one line."""

from __future__ import annotations

from stainbook.language import say
from stainbook.report.content import CaseReport, ZoneReport
from stainbook.words import handed_over


def notes_of(report: CaseReport) -> list[str]:
    """What is special about zones, a line for each kind of it.

    >>> from stainbook.report.content import CaseReport, ZoneReport
    >>> from stainbook.report.notes import notes_of
    >>> zones = (ZoneReport(11, "middle", "tooth", note="no target"), ZoneReport(12, "middle", "tooth"))
    >>> notes_of(CaseReport("", "W-1042", "2026-03-02", (), (), zones))
    ['middle 11: no target.']
    """
    like = {zone.key: zone.like for zone in report.zones if zone.like}
    noted = [(zone.key, zone.note) for zone in report.zones if zone.note and zone.note != _as_like(zone)]
    return handed_over.notes_told(noted, like)


def _as_like(zone: ZoneReport) -> str:
    return say("like {zone}", zone=zone.like) if zone.like else ""
