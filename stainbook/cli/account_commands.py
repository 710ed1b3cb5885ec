"""The commands on who may sign in at the lab's server: add, list, role, password, remove, log."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stainbook.cli.help_groups import example
from stainbook.cli.options import Json, lab_of
from stainbook.cli.show import print_document, print_table
from stainbook.language import say, shown
from stainbook.permit import ROLE_WORDS
from stainbook.words.deed_words import deed
from stainbook.words.times import moment

if TYPE_CHECKING:
    from stainbook.faces.account_face import AccountsFace
    from stainbook.work.documents.account_schemas import AccountsResult

Name = Annotated[str, typer.Argument(help="Who signs in: by this name their work is stored.", show_default=False)]
Role = Annotated[str, typer.Option(help="reader, technician or lead.")]
NewRole = Annotated[str, typer.Argument(help="reader, technician or lead.", show_default=False)]
Subject = Annotated[
    str | None,
    typer.Option(help="Who they are to the OpenID Connect provider: no password then.", show_default=False),
]
File = Annotated[
    Path | None,
    typer.Option(
        "--accounts", envvar="STAINBOOK_ACCOUNTS", help="File of the accounts; by default in the user's data folder.",
        show_default=False,
    ),
]  # fmt: skip
Most = Annotated[int, typer.Option(min=1, help="How many of the newest lines.")]

app = typer.Typer(help="Who may sign in at the lab's server.", no_args_is_help=True, rich_markup_mode=None)


@app.command(epilog=example("account add bench-1 --role lead"))
def add(
    context: typer.Context,
    name: Name,
    role: Role = "technician",
    subject: Subject = None,
    accounts: File = None,
    json: Json = False,
) -> None:
    """Let somebody sign in; the password is asked for."""
    face = _face(context, accounts)
    _show(face.add(name, role, password=None if subject else typed_password(), subject=subject), json)


@app.command("list", epilog=example("account list"))
def list_accounts(context: typer.Context, accounts: File = None, json: Json = False) -> None:
    """List who may sign in."""
    _show(_face(context, accounts).all(), json)


@app.command("role", epilog=example("account role bench-2 reader"))
def set_role(context: typer.Context, name: Name, role: NewRole, accounts: File = None, json: Json = False) -> None:
    """Give somebody another role; it holds at once."""
    _show(_face(context, accounts).set_role(name, role), json)


@app.command("password", epilog=example("account password bench-2"))
def set_password(context: typer.Context, name: Name, accounts: File = None, json: Json = False) -> None:
    """Give somebody another password, which is asked for; their sessions end."""
    _show(_face(context, accounts).set_password(name, typed_password()), json)


@app.command(epilog=example("account remove bench-2"))
def remove(context: typer.Context, name: Name, accounts: File = None, json: Json = False) -> None:
    """Let somebody sign in no more; their sessions end, what they stored stays."""
    _show(_face(context, accounts).remove(name), json)


@app.command(epilog=example("account log"))
def log(context: typer.Context, most: Most = 50, accounts: File = None, json: Json = False) -> None:
    """List what was done at the server: sign-ins, refusals, roles, exports, erasures."""
    result = _face(context, accounts).log(most)
    if json:
        print_document(result)
        return
    heads = (say("when"), say("what"), say("account"), say("about"), say("address"))
    rows = [(moment(one.at), deed(one.deed), one.account, one.about, one.address) for one in result.log]
    print_table(heads, rows, numbers=())


def _face(context: typer.Context, accounts: Path | None) -> AccountsFace:
    return lab_of(context).accounts(accounts)


def typed_password() -> str:
    """The password that is typed at a prompt, or stands on the first line of what is piped in; never an argument."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\n")
    typed: str = typer.prompt(shown(say("Password")), hide_input=True, confirmation_prompt=True)
    return typed


def _show(result: AccountsResult, json: bool) -> None:
    if json:
        print_document(result)
        return
    heads = (say("account"), say("role"), say("signs in with"))
    rows = [
        (one.account, ROLE_WORDS[one.role], one.subject or (say("a password") if one.password else ""))
        for one in result.accounts
    ]
    print_table(heads, rows, numbers=())
