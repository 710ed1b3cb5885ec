"""The list of commands."""

from __future__ import annotations

from typing import Annotated

import typer

from stainbook import __version__
from stainbook.cli import (
    account_commands,
    book,
    case_steps,
    cases,
    check_commands,
    jar_commands,
    label_commands,
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
    server_commands,
    stain_commands,
)
from stainbook.cli.help_groups import CASE, FIRE, LAB, OVER, READ, STAINS, JobGroup, example
from stainbook.cli.options import Session
from stainbook.clock import ahead_is_meant
from stainbook.errors import masked
from stainbook.language import say
from stainbook.notices import tell

SEEN = say(
    "the password after --book can be read by all users of this machine while the command runs: omit it, and put "
    "it into ~/.pgpass, the file that PGPASSFILE names, or a service file"
)

app = typer.Typer(
    help="Brings a ceramic piece to its prescribed colour with stains. A bench aid, not a medical device.",
    cls=JobGroup,
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
            "By default in the user's data folder. A password belongs into ~/.pgpass or PGPASSFILE.",
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


app.command("convert", epilog=example("convert readings.csv --illuminant D65 --observer 10"), rich_help_panel=READ)(
    reading_commands.convert
)
app.command("compare", epilog=example("compare readings.csv targets.csv"), rich_help_panel=READ)(
    reading_commands.compare
)
app.command(
    "calibrate",
    epilog=example("calibrate chips.csv readings.csv --stains stains.yaml --bodies bodies.csv"),
    rich_help_panel=STAINS,
)(stain_commands.calibrate)
app.command("predict", epilog=example("predict recipes.csv readings.csv"), rich_help_panel=STAINS)(
    stain_commands.predict
)
app.command("advise", epilog=example("advise W-1051"), rich_help_panel=CASE)(cases.advise)
app.command("plan", epilog=example("plan W-1051 --mixes 4 --html plan.html"), rich_help_panel=CASE)(plan_commands.plan)
app.command("sheet", epilog=example("sheet W-1051 --html order.html"), rich_help_panel=READ)(measuring.sheet)
app.command("read", epilog=example("read typed.csv --order W-1051 --instrument hand"), rich_help_panel=READ)(
    measuring.read
)
app.command(
    "instrument", epilog=example("instrument hand --illuminant D65 --observer 2 --geometry 45/0"), rich_help_panel=READ
)(measuring.instrument)
app.command("agree", epilog=example("agree hand.csv bench.csv"), rich_help_panel=READ)(measuring.agree)
app.command("plate", epilog=example("plate husk teasel --chips plates.csv --html plates.html"), rich_help_panel=STAINS)(
    plates.plate
)
app.command("control", epilog=example("control weekly-plate"), rich_help_panel=READ)(plates.control)
app.command("bench", epilog=example("bench W-1051 --html sheet.html"), rich_help_panel=CASE)(prescribing.bench)
app.command("guide", epilog=example("guide guide.csv guide-readings.csv"), rich_help_panel=CASE)(prescribing.guide)
app.command("trial", epilog=example("trial W-1051 --approve worn --by clinic"), rich_help_panel=CASE)(prescribing.trial)
app.command("programme", epilog=example("programme programmes.yaml"), rich_help_panel=CASE)(prescribing.programme)
app.command("mixes", epilog=example("mixes mixes.yaml"), rich_help_panel=STAINS)(prescribing.mixes)
app.command("jars", epilog=example("jars --run-out husk=24-117"), rich_help_panel=STAINS)(jar_commands.jars)
app.command("photo", epilog=example("photo shot.dng scene.yaml --case W-1051 --store"), rich_help_panel=READ)(
    photo.photo
)
app.command("record", epilog=example("record outcome.yaml"), rich_help_panel=FIRE)(outcomes.record)
app.command("trust", epilog=example("trust --since 2026-03-01"), rich_help_panel=FIRE)(outcomes.trust)
app.command("explain", epilog=example("explain W-1051 '11 cervical'"), rich_help_panel=CASE)(cases.explain)
app.command("report", epilog=example("report W-1051 --out W-1051.pdf"), rich_help_panel=OVER)(report.report)
app.command("label", epilog=example("label W-1051 --out label.pdf"), rich_help_panel=OVER)(label_commands.label)
app.add_typer(book.app, name="book", rich_help_panel=LAB)
app.add_typer(account_commands.app, name="account", rich_help_panel=LAB)
app.add_typer(server_commands.app, name="server", rich_help_panel=LAB)
app.add_typer(case_steps.app, name="case", rich_help_panel=CASE)
app.command("schema", epilog=example("schema advise"), rich_help_panel=LAB)(schema.schema)
app.command("selfcheck", epilog=example("selfcheck"), rich_help_panel=LAB)(check_commands.selfcheck)
app.command("doctor", epilog=example("doctor --out support.zip"), rich_help_panel=LAB)(check_commands.doctor)
app.command("app", epilog=example("app"), rich_help_panel=LAB)(serve.app)
app.command("worker", epilog=example("worker"), rich_help_panel=LAB)(serve.worker)
app.command("demo", epilog=example("demo"), rich_help_panel=LAB)(serve.demo)
