"""The process that serves the app: what the first page needs is loaded while the server and the browser start."""

from __future__ import annotations

import contextlib
import sys
import threading
from collections.abc import Sequence
from pathlib import Path
from typing import Any

_HOSTS = "server.allowedHosts"


def main() -> None:
    """Serve the app of a command line ``run APP --option value ...`` behind our doorkeeper."""
    _, script, *flags = sys.argv[1:]
    options = options_of(flags)
    import streamlit
    from starlette.middleware import Middleware
    from streamlit.starlette import App

    from stainbook.pages.shell.doorkeeper import Doorkeeper

    # only now: Streamlit cannot be loaded by two threads at once
    threading.Thread(target=warm_up, daemon=True).start()
    sys.argv = [script]  # whose folder holds the server's settings
    page = Path(streamlit.__file__).parent / "static" / "index.html"
    guard = Middleware(Doorkeeper, hosts=options[_HOSTS], page=page.read_bytes())
    with contextlib.suppress(KeyboardInterrupt):  # Ctrl-C is how it ends
        App(Path(script), middleware=[guard]).run(config=options)


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
