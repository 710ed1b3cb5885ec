"""The zone table of a report as rows, for CSV and workbooks."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from stainbook.report.content import CaseReport, ZoneReport

ZONE_COLUMNS = (
    "tooth", "zone", "tissue", "target_L", "target_a", "target_b", "L", "a", "b", "light", "dE00", "u", "grade",
    "visibility", "perceptible", "acceptable",
)  # fmt: skip
LAST_COLUMNS = ("put_on", "read", "note")
FIRING_COLUMNS = ("fired_at", "programme", "operator", "furnace", "lots", "accepted_by", "returned")

Row = tuple[Any, ...]


def columns(report: CaseReport) -> Row:
    """The header of the zone table."""
    return (*ZONE_COLUMNS, *(f"dE00_{light}" for light in report.lights), *LAST_COLUMNS)


def rows(report: CaseReport) -> Iterator[Row]:
    """A row for each zone; what is not known is None."""
    for zone in report.zones:
        yield _row(zone, report.lights)


def _row(zone: ZoneReport, lights: tuple[str, ...]) -> Row:
    blank = (None, None, None)
    limits = (zone.perceptible, zone.acceptable) if zone.grade else (None, None)
    return (
        zone.tooth,
        zone.zone,
        zone.tissue,
        *(zone.target or blank),
        *(zone.result or blank),
        zone.light,
        zone.dE00,
        zone.u,
        zone.grade,
        zone.visibility,
        *limits,
        *(zone.lights.get(light) for light in lights),
        "; ".join(zone.put_on),
        zone.read,
        zone.note,
    )


def sheets(report: CaseReport) -> Iterator[tuple[str, list[Row]]]:
    """The report as sheets of a workbook: zones, firings, what else it says."""
    yield "zones", [columns(report), *rows(report)]
    yield "firings", [FIRING_COLUMNS, *(tuple(getattr(one, name) for name in FIRING_COLUMNS) for one in report.firings)]
    said = [("lab", report.lab), ("case", report.case), ("made on", report.made_on), *report.facts]
    said += [("effect", one) for one in report.effects] + [("received", one) for one in report.received]
    said += [("note", one) for one in report.notes] + [("caution", one) for one in report.cautions]
    yield "case", [("what", "said"), *said]
