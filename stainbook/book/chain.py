"""The chain that ties the rows of a lab's journal together.

A row's seal is the SHA-256 of canonical JSON of all it says; its chain is that of the row before and
of the seal. Changing, adding or taking out any row breaks every chain after it, and ``head`` knows how
the last one ended. Before revision 0004 all labs of a book had one chain, from whose end each lab's own goes on.
A salt goes into each seal: once it is erased with the content, nobody can find out by trying what an erased record
said, and the chain still holds.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Any

from stainbook.book.codec import canonical

START = "0" * 64  # the chain before the first row
SEALED = ("id", "lab", "kind", "name", "revision", "stage", "material", "lot", "created_at", "author", "hash", "source")


def seal(row: Mapping[str, Any]) -> str:
    """SHA-256, hexadecimal, of the salt and of what the row says."""
    said = canonical({name: row[name] for name in SEALED})
    return hashlib.sha256(f"{row['salt']}{said}".encode()).hexdigest()


def link(before: str, sealed: str) -> str:
    """SHA-256, hexadecimal, of the chain so far and of the next seal."""
    return hashlib.sha256(f"{before}{sealed}".encode()).hexdigest()
