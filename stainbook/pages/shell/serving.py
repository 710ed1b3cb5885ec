"""The process that serves the app: what the first page needs is loaded while the server and the browser start."""

from __future__ import annotations

import contextlib
import os
import sys
import threading
from collections.abc import Sequence
from pathlib import Path
from socket import socket
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from stainbook.faces.app_types import AtOnce
    from stainbook.faces.server_types import ServerSettings

_HOSTS = "server.allowedHosts"
_LOOKED_FOR = 3.0  # seconds that the app waits for the list of cases, which a server far away may take longer for


def main() -> None:
    """Serve the app of a command line ``run APP --option value ...`` behind our doorkeeper."""
    _, script, *flags = sys.argv[1:]
    options = options_of(flags)
    settings = _settings()
    listening, page = (None, None) if settings else _at_once(options[_HOSTS])
    import streamlit
    import uvicorn  # noqa: F401  (now: later nobody answers meanwhile)
    from starlette.middleware import Middleware
    from streamlit.starlette import App

    from stainbook.lab import Lab
    from stainbook.pages.shell.doorkeeper import Doorkeeper

    # only now: Streamlit cannot be loaded by two threads at once
    threading.Thread(target=warm_up, daemon=True).start()
    sys.argv = [script]  # whose folder holds the server's settings
    index = Path(streamlit.__file__).parent / "static" / "index.html"
    guard = Middleware(Doorkeeper, hosts=options[_HOSTS], page=index.read_bytes())
    middleware, secrets = [guard], None
    if settings is not None:
        from stainbook.pages.shell.openid_answer import secrets_of
        from stainbook.pages.shell.sign_in_door import SignInDoor

        middleware.append(Middleware(SignInDoor, gate=Lab().app.open_gate(settings)))
        secrets = secrets_of(settings)
    app = App(Path(script), middleware=middleware, secrets=secrets)
    if page is not None and listening is not None:  # the server binds the port itself; the page asks until it answers
        page.leave()
        listening.close()
    with contextlib.suppress(KeyboardInterrupt):  # Ctrl-C is how it ends
        app.run(config=options)


def _settings() -> ServerSettings | None:
    """How a lab's server is set up; None where the app serves one person."""
    from stainbook.faces.server_types import SETTINGS

    named = os.environ.get(SETTINGS)
    if not named:
        return None
    from stainbook.lab import Lab

    settings = Lab().app.server_settings(None if named == "-" else Path(named))
    # whose word about somebody's address and TLS is believed: uvicorn would believe any program of this machine
    os.environ["FORWARDED_ALLOW_IPS"] = ",".join(settings.proxies)
    return settings


def _at_once(hosts: Sequence[str]) -> tuple[socket | None, AtOnce | None]:
    """The socket that the command handed over, and the page that answers on it while the app loads."""
    from stainbook.lab import Lab

    lab = Lab(os.environ.get("STAINBOOK_BOOK"))
    listening = lab.app.handed_over(os.environ)
    if listening is None:
        return None, None
    page = lab.app.at_once(listening, hosts)

    def look() -> None:
        with contextlib.suppress(Exception):  # the app says what is wrong with a book
            page.list_cases(lab.app.in_the_lab())

    looking = threading.Thread(target=look, daemon=True)
    looking.start()
    looking.join(_LOOKED_FOR)  # the first page of the app needs the open book too
    return listening, page


def options_of(flags: Sequence[str]) -> dict[str, Any]:
    """Options of the server by name: yes or no, numbers, text, and the list of hosts."""
    found: dict[str, Any] = {_HOSTS: []}
    for flag, value in zip(flags[::2], flags[1::2], strict=True):
        name = flag.removeprefix("--")
        if name == _HOSTS:
            found[name].append(value)
        else:
            found[name] = value == "true" if value in ("true", "false") else int(value) if value.isdecimal() else value
    return found


def warm_up() -> None:
    """Load the modules of the start page, and look once at the book and at the cases of the folder.

    What fails here fails on the page too, which says so.
    """
    with contextlib.suppress(Exception):
        from stainbook.pages.shell import (  # noqa: F401  (and with them nearly all else)
            case_source,
            light_choice,
            page_frame,
        )
        from stainbook.pages.widgets import outlines, waits  # noqa: F401

        cases = case_source.lab().cases
        cases.listed()
        cases.standing([])


if __name__ == "__main__":
    main()
