"""The contract as it was given, and its examples; `formats.md` beside this file is kept verbatim."""

from __future__ import annotations

import re
from pathlib import Path

TEXT = (Path(__file__).parent / "formats.md").read_text(encoding="utf-8")


def section(heading: str) -> str:
    """The text under the heading that begins with some words."""
    found = re.search(rf"^##+ {re.escape(heading)}.*?\n(.*?)(?=^##+ |\Z)", TEXT, re.MULTILINE | re.DOTALL)
    assert found, heading
    return found[1]


def block(heading: str) -> str:
    """The first code block under a heading."""
    found = re.search(r"^```\w*\n(.*?)^```", section(heading), re.MULTILINE | re.DOTALL)
    assert found, heading
    return found[1]


def header(first: str) -> str:
    """The column list in back quotes that begins with a column."""
    found = re.search(rf"`({re.escape(first)},[a-z_,]+)`", TEXT)
    assert found, first
    return found[1]
