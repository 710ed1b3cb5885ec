"""Where the file of each page is."""

from __future__ import annotations

from pathlib import Path

FOLDER = Path(__file__).parents[1]
ROOMS = {
    "start": ("start", "new_case", "tab_and_tooth"),
    "targets": ("targets",),
    "readings": ("readings",),
    "photo": ("photo",),
    "case": ("case",),
    "plan": ("plan", "sheet"),
    "result": ("result", "deliver"),
    "bench": ("tray", "timeline"),
    "lab": ("recipes", "stains", "stripes", "discs", "jars", "exchange", "numbers", "settings", "guide"),
}
_ROOM_OF = {name: room for room, names in ROOMS.items() for name in names}


def page_file(name: str) -> Path:
    """The file of a page by its name, such as ``new_case``."""
    return FOLDER / _ROOM_OF[name] / f"{name}_page.py"
