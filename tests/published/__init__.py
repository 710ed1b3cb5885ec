"""Outside values, kept as they were published, each with its source beside it."""

from __future__ import annotations

import csv
from pathlib import Path

FOLDER = Path(__file__).parent


def published(name: str) -> list[dict[str, str]]:
    """The rows of one table of this folder."""
    with (FOLDER / name).open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))
