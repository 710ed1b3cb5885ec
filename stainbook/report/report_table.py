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
FIRING_COLUMNS = ("fired_at", "programme", "operator", "furnace", "lots", "accepted_by", "returned", "checked_by")

Row = tuple[Any, ...]


def columns(report: CaseReport) -> Row:
    """The header of the zone table, with a column of ΔE00 for each further light.

    >>> from stainbook.report.content import CaseReport
    >>> from stainbook.report.report_table import columns
    >>> columns(CaseReport("", "W-1042", "2026-03-02", (), lights=("A",), zones=()))[-5:]
    ('acceptable', 'dE00_A', 'put_on', 'read', 'note')
    """
    return (*ZONE_COLUMNS, *(f"dE00_{light}" for light in report.lights), *LAST_COLUMNS)


def rows(report: CaseReport) -> Iterator[Row]:
    """A row for each zone, in the order of `columns`; a value that is not known is None.

    >>> from stainbook.report.content import CaseReport, ZoneReport
    >>> from stainbook.report.report_table import rows
    >>> zone = ZoneReport(11, "middle", "tooth", target=(72.0, 2.0, 18.0))
    >>> next(rows(CaseReport("", "W-1042", "2026-03-02", (), (), (zone,))))[:7]
    (11, 'middle', 'tooth', 72.0, 2.0, 18.0, None)
    """
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
    """The report as sheets of a workbook, by name with their rows: zones, firings, and all else under ``case``.

    >>> from stainbook.report.content import CaseReport
    >>> from stainbook.report.report_table import sheets
    >>> [name for name, _ in sheets(CaseReport("", "W-1042", "2026-03-02", (), (), ()))]
    ['zones', 'firings', 'case']
    """
    yield "zones", [columns(report), *rows(report)]
    yield "firings", [FIRING_COLUMNS, *(tuple(getattr(one, name) for name in FIRING_COLUMNS) for one in report.firings)]
    said = [("lab", report.lab), ("case", report.case), ("made on", report.made_on), *report.facts]
    said += [("effect", one) for one in report.effects] + [("received", one) for one in report.received]
    said += [("note", one) for one in report.notes] + [("caution", one) for one in report.cautions]
    yield "case", [("what", "said"), *said]
