"""The report of a case as files: PDF, CSV and workbook, and as the document that the command prints."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from stainbook import private
from stainbook.book import Book
from stainbook.files.table import format_table
from stainbook.report.content import CaseReport, ZoneReport
from stainbook.report.notes import notes_of
from stainbook.report.report_table import columns, rows, sheets
from stainbook.words import handed_over
from stainbook.work.case.current_case import What
from stainbook.work.documents.plan_schemas import ReportedColour, ReportedMaterial, ReportedZone, ReportResult
from stainbook.work.lab.workbook import workbook_of
from stainbook.work.sheets.case_report import ReportAsked, report_of

KINDS = {
    "pdf": "application/pdf",
    "job": "application/pdf",
    "csv": "text/csv",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}  # of the report's files, with their media types: the clinic's page, the job file, its tables


def file_name(case: str, kind: str = "pdf") -> str:
    """A name for a file that any system takes: letters, digits, dot, dash and underscore of the case's code."""
    ending = "job.pdf" if kind == "job" else f"report.{kind}"
    return f"{re.sub(r'[^A-Za-z0-9._-]+', '-', case).strip('.-') or 'case'}-{ending}"


def download(book: Book, what: What, kind: str, *, annex: bool | None = None) -> bytes:
    """The report of a case file as one of ``KINDS``; raises InputError for a case that cannot be used.

    annex : the clinic's page has the zones' numbers; None: as the lab has it
    """
    report, _ = report_of(book, what, ReportAsked(annex=annex))
    return {"pdf": _pdf, "job": _job, "csv": _csv, "xlsx": _workbook}[kind](report)


def save_pdf(report: CaseReport, path: Path) -> None:
    """Write the clinic's page; raises InputError when it cannot be written."""
    private.write(path, _pdf(report))


def save_job(report: CaseReport, path: Path) -> None:
    """Write the job file, which always holds all; raises InputError when it cannot be written."""
    private.write(path, _job(report))


def save_csv(report: CaseReport, path: Path) -> None:
    """Write the zone table as CSV whose text no spreadsheet runs; raises InputError when it cannot be written."""
    private.write(path, _csv(report))


def save_workbook(report: CaseReport, path: Path) -> None:
    """Write zones, firings and facts as a workbook; raises InputError when it cannot be written."""
    private.write(path, _workbook(report))


def _pdf(report: CaseReport) -> bytes:
    from stainbook.report.clinic_pdf import clinic_pdf

    return clinic_pdf(report, annex=report.annex)


def _job(report: CaseReport) -> bytes:
    from stainbook.report.pdf import pdf_of

    return pdf_of(report)


def _csv(report: CaseReport) -> bytes:
    cells = (["" if cell is None else str(cell) for cell in row] for row in rows(report))
    return format_table(columns(report), cells).encode("utf-8")


def _workbook(report: CaseReport) -> bytes:
    return workbook_of(sheets(report))


def result_of(report: CaseReport, files: Mapping[str, Path], warnings: list[str]) -> ReportResult:
    """The report as the document that the command prints; ``files`` are those written, by kind."""
    return ReportResult(
        case=report.case,
        lab=report.lab or None,
        files={kind: str(path) for kind, path in files.items()},
        counts=report.counts,
        reached=handed_over.reached(report.zones),
        check=handed_over.look_at(report.zones, report.effects),
        materials=[ReportedMaterial(kind=one.kind, name=one.name, lot=one.lot or None) for one in report.materials],
        notes=notes_of(report),
        zones=[_zone(zone) for zone in report.zones],
        warnings=warnings,
    )


def _zone(zone: ZoneReport) -> ReportedZone:
    return ReportedZone(
        tooth=zone.tooth,
        zone=zone.zone,
        tissue=zone.tissue,
        target=ReportedColour(L=zone.target[0], a=zone.target[1], b=zone.target[2]) if zone.target else None,
        result=ReportedColour(L=zone.result[0], a=zone.result[1], b=zone.result[2]) if zone.result else None,
        light=zone.light or None,
        dE00=zone.dE00,
        u=zone.u,
        grade=zone.grade or None,
        visibility=zone.visibility or None,
        lights=dict(zone.lights),
        note=zone.note or None,
        counted=zone.counted,
    )
