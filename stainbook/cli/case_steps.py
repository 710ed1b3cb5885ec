"""The commands on a case as a whole: brought in from a file, written to one, and the steps of its piece's way."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stainbook.cli.options import Json, session
from stainbook.cli.show import print_document, print_line, print_warnings

if TYPE_CHECKING:
    from stainbook.work.documents.book_schemas import CaseResult

app = typer.Typer(help="A case: bring it in, write it out, say what was done to its piece.", no_args_is_help=True)

File = Annotated[Path, typer.Argument(metavar="FILE", help="Case file.", show_default=False)]
Code = Annotated[str, typer.Argument(metavar="CASE", help="Code of a case in the book.", show_default=False)]
CaseName = Annotated[str, typer.Argument(metavar="CASE", help="Case file, or code of a case.", show_default=False)]
StepWord = Annotated[
    str,
    typer.Argument(
        metavar="STEP",
        help="milled, coloured, dried, sintered, ground, polished, blasted, cleaned, stripped, try-in, back, bonded.",
        show_default=False,
    ),
]
Zones = Annotated[
    str, typer.Option("--zones", help="Zones that it was done to, such as '11 cervical, 21 cervical'; all if left out.")
]
At = Annotated[str | None, typer.Option("--at", help="When, ISO 8601; now if left out.", show_default=False)]
Mix = Annotated[
    str,
    typer.Option("--mix", help="The liquids of 'coloured', such as '2 coats of (1 part tide)'.", show_default=False),
]
Who = Annotated[str | None, typer.Option("--operator", help="Who did it.", show_default=False)]
Run = Annotated[str | None, typer.Option("--run", help="The run or tray that several cases share.", show_default=False)]
Why = Annotated[str, typer.Option("--why", help="Why it is taken back; kept with it.")]
Undo = Annotated[bool, typer.Option("--undo", help="Take the newest such step back.")]
FiredAt = Annotated[str, typer.Argument(metavar="FIRED_AT", help="When it was fired, as told.", show_default=False)]


@app.command("open")
def open_(context: typer.Context, file: File, json: Json = False) -> None:
    """Bring a case file into the book; of a known case targets, limits, effects and jars become a new wish."""
    from stainbook.book import open_book
    from stainbook.work.case.case_told import case_result
    from stainbook.work.case.open_case import open_file

    with open_book(session(context).book) as book:
        _show(case_result(book, open_file(book, file)), json)


@app.command("write")
def write(context: typer.Context, case: Code, file: File, json: Json = False) -> None:
    """Write a case as it is now into a file."""
    from stainbook.book import open_book
    from stainbook.work.case.case_told import case_result
    from stainbook.work.case.current_case import known_case
    from stainbook.work.case.open_case import write_today

    with open_book(session(context).book) as book:
        write_today(book, case, file)
        _show(case_result(book, known_case(book, case)), json)


@app.command("did")
def did(
    context: typer.Context,
    case: CaseName,
    step: StepWord,
    zones: Zones = "",
    at: At = None,
    mix: Mix = "",
    operator: Who = None,
    run: Run = None,
    undo: Undo = False,
    why: Why = "pressed by mistake",
    json: Json = False,
) -> None:
    """Say what was done to the piece, or with --undo that it was not."""
    from stainbook.book import open_book
    from stainbook.work.case.case_told import case_result
    from stainbook.work.case.way import did as run_did
    from stainbook.work.case.way import undo_did, zones_named
    from stainbook.work.stains.painted import painted_layers

    with open_book(session(context).book) as book:
        if undo:
            found = undo_did(book, case, step, why=why)
        else:
            layers = painted_layers(mix)
            told = zones_named(zones)
            found = run_did(book, case, step, zones=told, at=at, operator=operator, layers=layers, run=run)
        _show(case_result(book, found), json)


@app.command("undo")
def undo(context: typer.Context, case: Code, why: Why = "pressed by mistake", json: Json = False) -> None:
    """Undo the newest acceptance, delivery or return of a case."""
    from stainbook.book import open_book
    from stainbook.work.case.case_told import case_result
    from stainbook.work.case.current_case import known_case
    from stainbook.work.case.delivery import undo_received

    with open_book(session(context).book) as book:
        undo_received(book, case, why=why)
        _show(case_result(book, known_case(book, case)), json)


@app.command("take-back")
def take_back(context: typer.Context, case: Code, fired_at: FiredAt, why: Why, json: Json = False) -> None:
    """Take a firing back whole, with all that was recorded of its zones."""
    from stainbook.book import open_book
    from stainbook.work.case.case_told import case_result
    from stainbook.work.case.current_case import known_case
    from stainbook.work.firing.corrections import take_back_firing

    with open_book(session(context).book) as book:
        take_back_firing(book, case, fired_at, why=why)
        _show(case_result(book, known_case(book, case)), json)


def _show(result: CaseResult, json: bool) -> None:
    if json:
        print_document(result)
        return
    print_warnings(result.warnings)
    stage = result.stage or "at no stage"
    print_line(f"{result.case}: {stage}, {result.zones} zones, {result.read} read, {result.firings_left} firings left")
    for one in result.way:
        print_line(f"  {one.at[:16].replace('T', ' ') or 'before'}  {one.what}")
