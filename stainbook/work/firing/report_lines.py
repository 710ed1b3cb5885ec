"""What is said of the reports of a firing: where it was told, and which zones the case does not name."""

from __future__ import annotations

from stainbook.errors import some_of
from stainbook.kept import Report
from stainbook.language import joined, say
from stainbook.records import Case
from stainbook.words.places import place


def strangers(report: Report, case: Case) -> list[str]:
    """A line of the zones that a firing tells of and the case does not name: nothing would show them."""
    named = {zone.key for zone in case.zones}
    found = [place(*zone.key) for zone in report.zones if zone.key not in named]
    if not found:
        return []
    said = say(
        "{zones}: no zone of {case}; recorded, shown once the case names it", zones=some_of(found), case=case.case
    )
    return [placed(report, said)]


def placed(report: Report, said: str) -> str:
    """What is said of a report, after the place that it came from."""
    return joined([report.source, said], ": ") if report.source else said
