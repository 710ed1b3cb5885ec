"""The process that serves the app: what every page needs is loaded while the server and the browser start."""

from __future__ import annotations

import sys
import threading
from importlib import import_module

FIRST = "stainbook.work.case_desk"  # of the modules that the start page needs, the one that loads nearly all others


def main() -> None:
    """Serve as ``streamlit`` does with the same arguments."""
    threading.Thread(target=import_module, args=(FIRST,), daemon=True).start()
    from streamlit.web.cli import main as serve

    sys.argv[0] = "streamlit"
    serve()


if __name__ == "__main__":
    main()
