"""The commands that open the app: app, demo."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Annotated, NoReturn

import typer

from stainbook.cli.options import Json, session
from stainbook.cli.show import print_document, print_line, print_message, print_warnings
from stainbook.language import say

Port = Annotated[int, typer.Option(min=0, max=65535, help="Port to listen on; 0 picks a free one.")]
Host = Annotated[str, typer.Option(help="Address to listen on; 127.0.0.1 is this machine only.")]
AllowHost = Annotated[
    list[str] | None,
    typer.Option(help="Another name of this machine that browsers may ask for, with --host.", show_default=False),
]
Folder = Annotated[
    Path | None, typer.Option(help="Folder with the case files; by default the current one.", show_default=False)
]


def app(
    context: typer.Context,
    port: Port = 8501,
    host: Host = "127.0.0.1",
    allow_host: AllowHost = None,
    folder: Folder = None,
    json: Json = False,
) -> None:
    """The app in the browser, on this machine only."""
    _serve(port, host, allow_host or [], session(context).book, folder or Path.cwd(), json)


def demo(port: Port = 8501, host: Host = "127.0.0.1", allow_host: AllowHost = None, json: Json = False) -> None:
    """The app on a fresh demonstration book.

    It is made in a temporary folder; its lab is invented, its readings are simulated.
    """
    from stainbook.lab import Lab

    demonstration = Lab().app
    port = demonstration.free_port(port, host)
    place = demonstration.new_demo()
    print_message(
        say("stainbook: making the demonstration book in {folder}, it stays there until it is deleted", folder=place)
    )
    _serve(port, host, allow_host or [], *demonstration.fill_demo(place), json)


def _serve(port: int, host: str, names: list[str], book: str | None, folder: Path, json: bool) -> NoReturn:
    from stainbook.lab import Lab

    server = Lab(book).app
    port = server.free_port(port, host)
    shown = f"[{host}]" if ":" in host else host
    url, place = f"http://{shown}:{port}", str(folder.absolute())
    if not server.is_loopback(host):
        print_message(say("stainbook: warning: whoever reaches {host} can see and change the book", host=host))
    if json:
        from stainbook.work.documents.schemas import AppResult  # a third of a second that nobody else waits for

        print_document(AppResult(url=url, book=book, folder=place))
    else:
        print_line(say("stainbook is at {url} (Ctrl-C ends it)", url=url))
    print_warnings(())
    sys.stdout.flush()
    environment = {"STAINBOOK_FOLDER": place} | ({"STAINBOOK_BOOK": book} if book else {})
    _become(server.command(port, host, names), environment)


def _become(command: list[str], environment: dict[str, str]) -> NoReturn:
    """Turn this process into the server, so that Ctrl-C and signals reach it alone."""
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # what the server prints is no result
    os.environ.update(environment)
    if sys.platform == "win32":  # there exec gives the terminal back at once
        raise typer.Exit(subprocess.call(command))
    os.execv(command[0], command)
