"""The command that makes a database ready for several labs: server prepare."""

from __future__ import annotations

from typing import Annotated

import typer

from stainbook.cli.account_commands import typed_password
from stainbook.cli.help_groups import example
from stainbook.cli.options import Json, lab_of
from stainbook.cli.show import print_document, print_line
from stainbook.language import say

LabName = Annotated[str, typer.Option("--lab", help="Name of the lab, as STAINBOOK_LAB has it.", show_default=False)]
DatabaseRole = Annotated[
    str | None, typer.Option("--role", help="Its database role; by default lab_NAME.", show_default=False)
]
Password = Annotated[
    bool, typer.Option("--password", help="Ask for the role's password; else it stays as it is, at first none.")
]

app = typer.Typer(help="A PostgreSQL database for several labs.", no_args_is_help=True, rich_markup_mode=None)


@app.callback()
def before() -> None:
    """A group of its own, so that the command keeps its name."""


@app.command(epilog=example("server prepare --lab north"))
def prepare(
    context: typer.Context, lab: LabName, role: DatabaseRole = None, password: Password = False, json: Json = False
) -> None:
    """As owner of the PostgreSQL database of --book, give a lab a role that reaches its own rows alone."""
    named = role or f"lab_{lab.lower()}"
    book = lab_of(context).app.prepare_lab(lab, named, password=typed_password() if password else None)
    if json:
        from stainbook.work.documents.account_schemas import PreparedResult

        print_document(PreparedResult(lab=lab, role=named, book=book))
        return
    print_line(say("lab {lab} has the role {role}; its app is started with:", lab=lab, role=named))
    print_line(f"STAINBOOK_LAB={lab} stainbook --book {book} app --server")
