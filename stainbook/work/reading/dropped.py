"""A file that was dropped on a page."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Dropped:
    """A file as it was dropped: its name and what it holds."""

    name: str
    data: bytes
