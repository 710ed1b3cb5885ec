"""Cells of sheets that leave the lab: text that a spreadsheet would take for a formula is disarmed."""

from __future__ import annotations

_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "|", "%")


def disarmed(cell: object) -> object:
    """Text as it is, behind an apostrophe where a spreadsheet may run it; numbers untouched."""
    if isinstance(cell, str) and cell.lstrip(" ").startswith(_STARTS):
        return f"'{cell}"
    return cell
