"""Cells of tables that leave the lab: what a spreadsheet would run as a formula is disarmed, and read back as it was.

An apostrophe goes before such text, as spreadsheets themselves mark text; it goes before text that begins like that
already, too, so that reading takes off exactly what writing put on.
"""

from __future__ import annotations

import re

_ARMED = re.compile(r"'*[ ]*[=+\-@|%\t\r\n]")  # what a spreadsheet may run, with or without apostrophes before it
_NUMBER = re.compile(r"[+\-−]?[0-9]+(?:[.,][0-9]+)?(?:[eE][+\-]?[0-9]+)?%?")


def disarmed(cell: str) -> str:
    """The text as a table that leaves holds it; numbers stay what they are."""
    return f"'{cell}" if _ARMED.match(cell) and not _NUMBER.fullmatch(cell) else cell


def rearmed(cell: str) -> str:
    """The text that `disarmed` was given."""
    return cell[1:] if cell.startswith("'") and _ARMED.match(cell) else cell
