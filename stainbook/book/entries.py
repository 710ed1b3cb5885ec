"""What the book hands out beside the records: fits with their revisions, and imports."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True)
class Fit:
    """One revision of what was learnt for a scope, such as a material on an instrument."""

    scope: str
    revision: int  # 1, 2, ... within the scope
    document: dict[str, Any]
    data: bytes | None = field(repr=False)  # arrays, packed as the caller chose
    created_at: str  # UTC, ISO 8601
    author: str


@dataclass(frozen=True, slots=True)
class Import:
    """One file that the book was filled from."""

    file: str
    sha256: str  # of the file's bytes, hexadecimal
