"""The command for what leaves the lab: report."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from stainbook.cli.cases import Guide, Readings
from stainbook.cli.options import Adapt, Illuminant, Json, Observer, Thresholds, asked_of, session
from stainbook.cli.plan_commands import CaseFile
from stainbook.cli.show import print_document, print_line, print_warnings

Out = Annotated[
    Path | None, typer.Option(help="The PDF; CASE-report.pdf in this folder when left out.", show_default=False)
]
Csv = Annotated[Path | None, typer.Option("--csv", help="Also the zone table as CSV.", show_default=False)]
Excel = Annotated[Path | None, typer.Option("--excel", help="Also its tables as a workbook.", show_default=False)]
LabOption = Annotated[
    str | None, typer.Option("--lab", help="The lab's name; that of the book when left out.", show_default=False)
]
Results = Annotated[
    list[Path] | None,
    typer.Option(help="Readings of the finished piece; the newest known when left out.", show_default=False),
]


def report(
    context: typer.Context,
    case: CaseFile,
    out: Out = None,
    csv: Csv = None,
    excel: Excel = None,
    lab: LabOption = None,
    results: Results = None,
    guide: Guide = None,
    readings: Readings = None,
    thresholds: Thresholds = None,
    illuminant: Illuminant = None,
    observer: Observer = None,
    adapt: Adapt = False,
    json: Json = False,
) -> None:
    """The colour report of a case as PDF, for the clinic and the job file."""
    from stainbook.book import open_book
    from stainbook.work.sheets.case_report import ReportAsked, report_of
    from stainbook.work.sheets.report_files import file_name, result_of, save_csv, save_pdf, save_workbook

    wish = ReportAsked(
        asked=asked_of(context, illuminant, observer, adapt=adapt),
        lab=lab,
        guide=guide,
        results=results or (),
        readings=readings or (),
        threshold_names=thresholds or (),
    )
    with open_book(session(context).book) as book:
        told, warnings = report_of(book, case, wish)
    files = {"pdf": out or Path(file_name(told.case))}
    save_pdf(told, files["pdf"])
    if csv is not None:
        save_csv(told, csv)
        files["csv"] = csv
    if excel is not None:
        save_workbook(told, excel)
        files["excel"] = excel
    if json:
        print_document(result_of(told, files, warnings))
    else:
        print_warnings(warnings)
        counts = ", ".join(f"{count} {grade}" for grade, count in told.counts.items() if count)
        print_line(f"{told.case}: {len(told.zones)} zones: {counts}")
        for path in files.values():
            print_line(str(path))
