"""The commands that serve: app, demo, worker."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from socket import socket
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from stainbook.cli.options import Json, session
from stainbook.cli.show import print_document, print_line, print_message, print_warnings
from stainbook.language import say

if TYPE_CHECKING:
    from stainbook.faces.app_face import AppFace
    from stainbook.faces.server_types import ServerSettings

Port = Annotated[int, typer.Option(min=0, max=65535, help="Port to listen on; 0 picks a free one.")]
Host = Annotated[str, typer.Option(help="Address to listen on; 127.0.0.1 is this machine only.")]
AllowHost = Annotated[
    list[str] | None,
    typer.Option(help="Another name of this machine that browsers may ask for, with --host.", show_default=False),
]
Folder = Annotated[
    Path | None, typer.Option(help="Folder with the case files; by default the current one.", show_default=False)
]


Server = Annotated[
    bool,
    typer.Option("--server", help="Serve a lab: people sign in. server.toml in the folder is read."),
]
SettingsFile = Annotated[
    Path | None, typer.Option("--settings", help="Another server.toml, with --server.", show_default=False)
]
NoBrowser = Annotated[bool, typer.Option("--no-browser", help="Open no browser: only say where the app is.")]


def app(
    context: typer.Context,
    port: Port = 8501,
    host: Host = "127.0.0.1",
    allow_host: AllowHost = None,
    folder: Folder = None,
    server: Server = False,
    settings: SettingsFile = None,
    no_browser: NoBrowser = False,
    json: Json = False,
) -> None:
    """The app in the browser, on this machine only; with --server for a lab whose people sign in."""
    from stainbook.lab import Lab

    book = session(context).book
    face = Lab(book).app
    place = folder or Path.cwd()
    how = _server(face, host, settings or place / "server.toml", settings is not None) if server or settings else None
    if how is None:
        face.check_reach(host)
    listening = face.listening(port, host)
    url = _url(listening, host, tls=how is not None and how.has_tls)
    _say(url, book, place, json)
    if not (no_browser or json or how):
        face.open_browser(url)
    _become(face, listening, host, allow_host or [], how)


def demo(
    port: Port = 8501,
    host: Host = "127.0.0.1",
    allow_host: AllowHost = None,
    no_browser: NoBrowser = False,
    json: Json = False,
) -> None:
    """The app on a fresh demonstration book.

    It is made in a temporary folder; its lab is invented, its readings are simulated.
    """
    from stainbook.lab import Lab

    server = Lab().app
    server.check_reach(host)
    listening, names = server.listening(port, host), allow_host or []
    url, place = _url(listening, host), server.new_demo()
    print_message(
        say("stainbook: making the demonstration book in {folder}, it stays there until it is deleted", folder=place)
    )
    page = server.at_once(listening, server.hosts(host, names))
    if not (no_browser or json):
        server.open_browser(url)  # it shows how far the book is
    book, cases = server.fill_demo(place, page.tell)
    page.leave()
    _say(url, book, cases, json)
    _become(server, listening, host, names)


def worker(
    context: typer.Context,
    patience: Annotated[
        float, typer.Option(min=1.0, help="Seconds without a sign of life after which a worker counts as dead.")
    ] = 30.0,
) -> None:
    """Do the long searches for the apps of a book on a server, until it is ended.

    Start as many as there are processors to spare, on any machine that reaches the book. What one does when it is
    killed another does again.
    """
    from stainbook.lab import Lab

    def tell(line: str) -> None:
        print_line(line)
        sys.stdout.flush()

    Lab(session(context).book).app.work(tell, patience=patience)


def _server(face: AppFace, host: str, file: Path, named: bool) -> ServerSettings:
    """The settings of a lab's server, checked, and named to the process that serves."""
    from stainbook.faces.server_types import SETTINGS

    found = file if named or file.is_file() else None
    settings = face.server_settings(found)
    face.check_server(settings, host)
    os.environ[SETTINGS] = str(found.absolute()) if found else "-"
    return settings


def _url(listening: socket, host: str, *, tls: bool = False) -> str:
    shown = f"[{host}]" if ":" in host else host
    return f"{'https' if tls else 'http'}://{shown}:{listening.getsockname()[1]}"


def _say(url: str, book: str | None, folder: Path, json: bool) -> None:
    """Print where the app is, and name book and folder to the server."""
    place = str(folder.absolute())
    if json:
        from stainbook.work.documents.schemas import AppResult  # a third of a second that nobody else waits for

        print_document(AppResult(url=url, book=book, folder=place))
    else:
        print_line(say("stainbook is at {url} (Ctrl-C ends it)", url=url))
    print_warnings(())
    sys.stdout.flush()
    os.environ.update({"STAINBOOK_FOLDER": place} | ({"STAINBOOK_BOOK": book} if book else {}))


def _become(
    server: AppFace, listening: socket, host: str, names: list[str], settings: ServerSettings | None = None
) -> NoReturn:
    """Turn this process into the server, so that Ctrl-C and signals reach it alone; it takes the socket over."""
    command = server.command(listening.getsockname()[1], host, names, settings)
    if settings is None:
        os.environ.pop("STAINBOOK_SERVER", None)
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # what the server prints is no result
    if sys.platform == "win32":  # there exec gives the terminal back at once
        listening.close()
        raise typer.Exit(subprocess.call(command))
    if settings is None:
        server.hand_over(listening, os.environ)
    else:  # until people can sign in nobody answers
        listening.close()
    os.execv(command[0], command)
