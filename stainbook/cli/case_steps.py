"""The commands on a case as a whole: brought in from a file, written to one, and the steps of its piece's way."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stainbook.cli.help_groups import example
from stainbook.cli.options import Json, lab_of
from stainbook.cli.show import print_document, print_line, print_warnings
from stainbook.kept import BY_MISTAKE
from stainbook.language import joined, say, say_n
from stainbook.stage_words import stage_name, step_name
from stainbook.words.times import moment

if TYPE_CHECKING:
    from stainbook.work.documents.book_schemas import CaseResult

app = typer.Typer(help="A case: bring it in, write it out, say what was done to its piece.", no_args_is_help=True)

File = Annotated[Path, typer.Argument(metavar="FILE", help="Case file.", show_default=False)]
Code = Annotated[
    str, typer.Argument(metavar="CASE", help="Code of a case; `book list case` names them.", show_default=False)
]
CaseName = Annotated[
    str,
    typer.Argument(
        metavar="CASE", help="Case file, or code of a case; `book list case` names them.", show_default=False
    ),
]
StepWord = Annotated[
    str,
    typer.Argument(
        metavar="STEP",
        help="milled, coloured, dried, sintered, ground, polished, blasted, cleaned, stripped, try-in, back, bonded.",
        show_default=False,
    ),
]
Zones = Annotated[
    str, typer.Option("--zones", help="Zones that it was done to, such as '11 cervical, 21 cervical'; by default all.")
]
Teeth = Annotated[
    list[str],
    typer.Argument(
        metavar="WRONG=RIGHT", help="Such as 12=11; two that were exchanged: 12=11 11=12.", show_default=False
    ),
]
At = Annotated[str | None, typer.Option("--at", help="When, ISO 8601; by default now.", show_default=False)]
Mix = Annotated[
    str,
    typer.Option("--mix", help="The liquids of 'coloured', such as '2 coats of (1 part bracken)'.", show_default=False),
]
Who = Annotated[str | None, typer.Option("--operator", help="Who did it.", show_default=False)]
Run = Annotated[str | None, typer.Option("--run", help="The run or tray that several cases share.", show_default=False)]
Why = Annotated[str, typer.Option("--why", help="Why it is undone; stored with it.")]
Undo = Annotated[bool, typer.Option("--undo", help="Take the newest such step back.")]
FiredAt = Annotated[str, typer.Argument(metavar="FIRED_AT", help="When it was fired, as told.", show_default=False)]


@app.command("open", epilog=example("case open W-1051.yaml"))
def open_(context: typer.Context, file: File, json: Json = False) -> None:
    """Bring a case file into the book; of a known case targets, limits, effects and jars become a new wish."""
    _show(lab_of(context).case(file).way.open(), json)


@app.command("write", epilog=example("case write W-1051 today.yaml"))
def write(context: typer.Context, case: Code, file: File, json: Json = False) -> None:
    """Write a case as it is now into a file."""
    _show(lab_of(context).case(case).way.write(file), json)


@app.command("show", epilog=example("case show W-1051"))
def show(context: typer.Context, case: CaseName, json: Json = False) -> None:
    """What a case is now and what happened to its piece."""
    _show(lab_of(context).case(case).way.now(), json)


@app.command("did", epilog=example("case did W-1051 blasted"))
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
    why: Why = BY_MISTAKE,
    json: Json = False,
) -> None:
    """Say what was done to the piece, or with --undo that it was not."""
    way = lab_of(context).case(case).way
    if undo:
        _show(way.undo_did(step, why=why), json)
    else:
        _show(way.did(step, zones=zones, at=at, mix=mix, operator=operator, run=run), json)


@app.command("tooth", epilog=example("case tooth W-1051 11=12"))
def tooth(context: typer.Context, case: CaseName, teeth: Teeth, json: Json = False) -> None:
    """Call a tooth by its right number: targets, readings, what was painted and fired go with it."""
    piece = lab_of(context).case(case)
    piece.wish.rename(teeth)
    _show(piece.way.now(), json)


@app.command("undo", epilog=example("case undo W-1051"))
def undo(context: typer.Context, case: Code, why: Why = BY_MISTAKE, json: Json = False) -> None:
    """Undo the newest acceptance, delivery or return of a case."""
    _show(lab_of(context).case(case).way.undo_received(why=why), json)


@app.command("take-back", epilog=example("case take-back W-1051 2026-03-02T10:40:00Z --why 'wrong case'"))
def take_back(context: typer.Context, case: Code, fired_at: FiredAt, why: Why, json: Json = False) -> None:
    """Take a firing back whole, with all that was recorded of its zones."""
    _show(lab_of(context).case(case).way.take_back_firing(fired_at, why=why), json)


def _show(result: CaseResult, json: bool) -> None:
    if json:
        print_document(result)
        return
    print_warnings(result.warnings)
    told = (
        stage_name(result.stage) if result.stage else say("at no stage"),
        say_n("{n} zone", "{n} zones", result.zones),
        say_n("{n} read", "{n} read", result.read),
        say_n("{n} firing remains", "{n} firings remain", result.firings_left),
    )
    print_line(joined([result.case, joined(told)], ": "))
    for one in result.way:
        print_line(joined(["", moment(one.at) if one.at else say("before"), step_name(one.what)], "  "))
