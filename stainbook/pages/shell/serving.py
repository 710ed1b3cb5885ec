"""The process that serves the app: what the first page needs is loaded while the server and the browser start."""

from __future__ import annotations

import contextlib
import sys
import threading


def main() -> None:
    """Serve as ``streamlit`` does with the same arguments."""
    threading.Thread(target=warm_up, daemon=True).start()
    from streamlit.web.cli import main as serve

    sys.argv[0] = "streamlit"
    serve()


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
        from stainbook.work.app.waiting import Board

        case_source.newest()
        Board().standing(case_source.book(), [])


if __name__ == "__main__":
    main()
