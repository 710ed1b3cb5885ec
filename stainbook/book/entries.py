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


@dataclass(frozen=True, slots=True)
class Share:
    """What a lab shows to the other labs of its database, or no longer."""

    name: str  # kind/name of the thing
    shared: bool = True


ERASED_NAME = "erased-"  # what the names of erased things begin with


@dataclass(frozen=True, slots=True)
class Erased:
    """The tombstone of a case: which rows lost what they said, and the hash of what is left of each."""

    name: str
    rows: tuple[tuple[int, str], ...]
    why: str | None = None
    mark: str | None = None  # that the case had, by which other books know it


@dataclass(frozen=True, slots=True)
class Entered:
    """A record with who stored it, when, and as which revision of its name."""

    number: int  # of the row in the journal
    kind: str
    name: str
    revision: int
    created_at: str  # UTC, ISO 8601
    author: str
    lab: str
    hash: str  # of the content, hexadecimal
    record: Any = field(repr=False)
    seal: str = ""  # names the row in corrections and events


@dataclass(frozen=True, slots=True)
class Revised:
    """What came of storing a revision: its number, and another one that was made meanwhile, not seen by its author."""

    revision: int
    meanwhile: Entered | None = None


@dataclass(frozen=True, slots=True)
class Hit:
    """Something that a search found, and how far its colour is from the one wanted."""

    entered: Entered
    dE00: float | None = None
