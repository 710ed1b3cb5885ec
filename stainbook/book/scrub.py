"""What erasing leaves in the store itself, beside its rows: pages that are free, the log of writes, copies."""

from __future__ import annotations

import contextlib
import sqlite3
from pathlib import Path

from stainbook.errors import some_of
from stainbook.language import filled, say

_LOG = say("another program has the book open, and what it logs may still hold the case: close it, then erase again")
_PAGES = say(
    "the file could not be written anew ({reason}): what is free in it was overwritten, other traces may be left"
)
ELSEWHERE = (
    say("what left the lab: bundles, exports, reports and photos given away"),
    say("backups and copies of this machine, and what its disk has freed"),
    say("the history of browsers"),
)
ON_A_SERVER = (
    say("old versions of rows in the server's files until VACUUM FULL has rewritten them"),
    say("the server's log of writes (WAL), its archives, replicas and dumps"),
)


def scrub(path: Path, *, timeout: float = 30.0) -> list[str]:
    """Write a SQLite book anew without its free pages and empty its log of writes; gives what could not be done."""
    try:
        with contextlib.closing(sqlite3.connect(path, isolation_level=None, timeout=timeout)) as connection:
            connection.execute("PRAGMA secure_delete=ON").close()
            connection.execute("VACUUM")
            busy, _, _ = connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    except sqlite3.Error as error:
        return [filled(_PAGES, reason=error)]
    return [_LOG] if busy else []


def copies_beside(path: Path) -> list[str]:
    """What to say of copies of a book that lie beside it: those of migrations and backups."""
    found = sorted({*path.parent.glob(f"{path.stem}-*{path.suffix}"), *path.parent.glob(f"{path.name}.*")})
    names = some_of(one.name for one in found)
    return [say("copies of the book beside it, made before: {names}", names=names)] if found else []
