"""The command on the lab's jars and bottles."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stainbook.apparatus import Jar
from stainbook.cli.options import Json, lab_of, lots_of
from stainbook.cli.show import print_document, print_table, print_warnings
from stainbook.errors import some_of
from stainbook.language import say

if TYPE_CHECKING:
    from stainbook.work.documents.jar_schemas import JarsResult

JarsFile = Annotated[Path | None, typer.Argument(help="jars.csv; by default the book's are listed.")]
Opened = Annotated[
    str | None, typer.Option("--opened", metavar="STAIN=LOT", help="A jar that was opened.", show_default=False)
]
RunOut = Annotated[
    str | None, typer.Option("--run-out", metavar="STAIN=LOT", help="A jar that is empty.", show_default=False)
]
NotRunOut = Annotated[
    str | None,
    typer.Option("--not-run-out", metavar="STAIN=LOT", help="Undo: it is not empty.", show_default=False),
]
On = Annotated[str | None, typer.Option("--on", help="The day, ISO 8601; by default today.", show_default=False)]
MakersLot = Annotated[
    str | None, typer.Option("--makers-lot", help="The lot that its maker printed on it.", show_default=False)
]


def jars(
    context: typer.Context,
    jars: JarsFile = None,
    opened: Opened = None,
    run_out: RunOut = None,
    not_run_out: NotRunOut = None,
    on: On = None,
    makers_lot: MakersLot = None,
    json: Json = False,
) -> None:
    """Jars and bottles: a file of them into the book, one opened or run out; without, what the book knows.

    Each is listed with the open cases that it concerns.
    """
    asked = [one for one in (jars, opened, run_out, not_run_out) if one is not None]
    if len(asked) > 1:
        raise typer.BadParameter(say("found several, expected a file, --opened, --run-out or --not-run-out alone"))
    face = lab_of(context).stains.jars
    if jars is not None:
        result = face.load(jars)
    elif opened is not None:
        stain, lot = _pair(opened)
        result = face.keep(Jar(stain, lot, makers_lot=makers_lot, opened_on=on or face.today()))
    elif run_out is not None:
        result = face.run_out(*_pair(run_out), on=on)
    elif not_run_out is not None:
        result = face.not_run_out(*_pair(not_run_out))
    else:
        result = face.all()
    if json:
        print_document(result)
    else:
        print_warnings(result.warnings)
        _show(result)


def _pair(given: str) -> tuple[str, str]:
    """Stain and lot of STAIN=LOT."""
    ((stain, lot),) = lots_of([given]).items()
    return stain, lot


def _show(result: JarsResult) -> None:
    columns = (say("stain"), say("lot"), say("maker's lot"), say("opened"), say("run out"), say("open cases"))
    rows = [
        (one.stain, one.lot, one.makers_lot or "", one.opened_on or "", one.run_out_on or "", some_of(one.cases))
        for one in result.jars
    ]
    print_table(columns, rows, numbers=())
