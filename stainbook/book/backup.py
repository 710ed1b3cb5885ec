"""A copy of a SQLite book, taken while others may use it."""

from __future__ import annotations

import contextlib
import os
import sqlite3
from datetime import UTC, datetime
from pathlib import Path

from stainbook.errors import BookError, InputError, message
from stainbook.language import say
from stainbook.private import part_of


def back_up(path: Path, *, revision: str, to: Path | None = None) -> Path:
    """Copy what was committed to a file, beside the book when ``to`` is None; gives its path.

    The copy gets its name when it is whole and on the disk. Raises BookError where it cannot be written, and
    rather than replace a file that is there.
    """
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S%fZ")
    copy = to or path.with_name(f"{path.stem}-revision-{revision}-{stamp}{path.suffix}")
    if copy.exists():
        raise BookError(say("book {path}: {copy} exists; name another file for the backup", path=path, copy=copy))
    try:
        with part_of(copy) as part:
            _copy(path, part)
            _settle(part)
    except (InputError, sqlite3.Error) as error:
        raise BookError(
            say(
                "book {path}: no backup could be made ({error}); the book was left as it was",
                path=path,
                error=message(error),
            )
        ) from error
    return copy


def _copy(path: Path, part: Path) -> None:
    with contextlib.closing(sqlite3.connect(path)) as source, contextlib.closing(sqlite3.connect(part)) as target:
        source.backup(target)
        (found,) = target.execute("PRAGMA quick_check").fetchone()
        if found != "ok":
            raise sqlite3.DatabaseError(say("the copy is damaged: {found}", found=found))
        target.execute("PRAGMA journal_mode=DELETE")  # one file, without a journal beside it


def _settle(part: Path) -> None:
    with part.open("rb") as stream:
        os.fsync(stream.fileno())
