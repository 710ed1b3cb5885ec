"""The command for what leaves the lab: report."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from stainbook.cli.cases import Guide, Readings
from stainbook.cli.options import Adapt, Illuminant, Json, Observer, Thresholds, asked_of, lab_of
from stainbook.cli.prescribing import CaseFile
from stainbook.cli.show import print_document, print_line, print_warnings
from stainbook.language import joined

Out = Annotated[
    Path | None, typer.Option(help="The PDF; by default CASE-report.pdf in this folder.", show_default=False)
]
Job = Annotated[
    Path | None, typer.Option("--job", help="Also the job file as PDF: all of it, with all lots.", show_default=False)
]
Annex = Annotated[
    bool | None,
    typer.Option(
        "--annex/--no-annex", help="The zones' numbers behind the clinic's page; by default as the lab has it.",
        show_default=False,
    ),
]  # fmt: skip
Csv = Annotated[Path | None, typer.Option("--csv", help="Also the zone table as CSV.", show_default=False)]
Excel = Annotated[Path | None, typer.Option("--excel", help="Also its tables as a workbook.", show_default=False)]
LabOption = Annotated[
    str | None, typer.Option("--lab", help="The lab's name; by default that of the book.", show_default=False)
]
Results = Annotated[
    list[Path] | None,
    typer.Option(help="Readings of the finished piece; by default the newest known.", show_default=False),
]


def report(
    context: typer.Context,
    case: CaseFile,
    out: Out = None,
    job: Job = None,
    annex: Annex = None,
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
    """The colour report of a case as PDF: one page for the clinic, and the job file."""
    from stainbook.faces.case_types import ReportAsked

    wish = ReportAsked(
        asked=asked_of(context, illuminant, observer, adapt=adapt),
        lab=lab,
        guide=guide,
        results=results or (),
        readings=readings or (),
        threshold_names=thresholds or (),
        annex=annex,
    )
    result = lab_of(context).case(case).report(wish, pdf=out, job=job, csv=csv, excel=excel)
    if json:
        print_document(result)
    else:
        print_warnings(result.warnings)
        print_line(joined([result.case, result.reached], ": "))
        for line in (*result.check, *result.notes):
            print_line(line)
        for path in result.files.values():
            print_line(str(path))
