"""The command that prints the label of a job tray."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from stainbook.cli.options import Json, lab_of
from stainbook.cli.show import print_document, print_line, print_warnings
from stainbook.language import say

Code = Annotated[str, typer.Argument(metavar="CASE", help="Code of a case in the book.", show_default=False)]
Out = Annotated[
    Path | None,
    typer.Option(help="Where to: .pdf, .html or .svg; CASE-label.pdf in this folder by default.", show_default=False),
]
Host = Annotated[
    str | None,
    typer.Option(help="Where other devices reach the app; by default as the Settings page has it.", show_default=False),
]


def label(context: typer.Context, case: Code, out: Out = None, host: Host = None, json: Json = False) -> None:
    """The label of a case's job tray: its code, and a QR code that opens the case on a phone."""
    result = lab_of(context).case(case).label(out, host=host)
    if json:
        print_document(result)
        return
    print_warnings(result.warnings)
    print_line(result.file)
    if result.address:
        print_line(say("opens {address}", address=result.address))
