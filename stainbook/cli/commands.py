"""The list of commands."""

from __future__ import annotations

from typing import Annotated

import typer

from stainbook import __version__
from stainbook.cli import (
    book,
    case_steps,
    cases,
    measuring,
    outcomes,
    photo,
    plan_commands,
    plates,
    prescribing,
    reading_commands,
    report,
    schema,
    serve,
    stain_commands,
)
from stainbook.cli.options import Session
from stainbook.clock import ahead_is_meant
from stainbook.errors import masked
from stainbook.notices import tell

SEEN = (
    "the password after --book can be read by all users of this machine while the command runs: leave it out, and put "
    "it into ~/.pgpass, the file that PGPASSFILE names, or a service file"
)

app = typer.Typer(
    help="Brings a ceramic piece to its prescribed colour with stains. A bench aid, not a medical device.",
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"stainbook {__version__}")
        raise typer.Exit


@app.callback()
def before(
    context: typer.Context,
    book: Annotated[
        str | None,
        typer.Option(
            envvar="STAINBOOK_BOOK",
            metavar="URL",
            help="The lab's book: sqlite:///path/lab.db or postgresql+psycopg://user@host/name. "
            "In the user's data folder when left out. A password belongs into ~/.pgpass or PGPASSFILE.",
            show_default=False,
        ),
    ] = None,
    ahead: Annotated[
        bool, typer.Option("--ahead", help="Times more than a day ahead of this machine's clock are meant so.")
    ] = False,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    """Keep what stands before the command."""
    given = context.get_parameter_source("book")
    if book and masked(book) != book and given is not None and given.name == "COMMANDLINE":
        tell(SEEN)
    if ahead:
        context.with_resource(ahead_is_meant())
    context.obj = Session(book or None)


app.command("convert")(reading_commands.convert)
app.command("compare")(reading_commands.compare)
app.command("calibrate")(stain_commands.calibrate)
app.command("predict")(stain_commands.predict)
app.command("advise")(cases.advise)
app.command("plan")(plan_commands.plan)
app.command("sheet")(measuring.sheet)
app.command("read")(measuring.read)
app.command("instrument")(measuring.instrument)
app.command("agree")(measuring.agree)
app.command("plate")(plates.plate)
app.command("control")(plates.control)
app.command("bench")(prescribing.bench)
app.command("guide")(prescribing.guide)
app.command("trial")(prescribing.trial)
app.command("programme")(prescribing.programme)
app.command("mixes")(prescribing.mixes)
app.command("photo")(photo.photo)
app.command("record")(outcomes.record)
app.command("explain")(cases.explain)
app.command("report")(report.report)
app.add_typer(book.app, name="book")
app.add_typer(case_steps.app, name="case")
app.command("schema")(schema.schema)
app.command("app")(serve.app)
app.command("demo")(serve.demo)
