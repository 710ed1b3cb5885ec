"""A copy of a SQLite book, taken while others may use it."""

from __future__ import annotations

import contextlib
import os
import sqlite3
from datetime import UTC, datetime
from pathlib import Path

from stainbook.errors import BookError


def back_up(path: Path, *, revision: str) -> Path:
    """Copy what was committed to a file beside the book; gives its path.

    The copy gets its name when it is whole. Raises BookError where it cannot be written.
    """
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%SZ")
    copy = path.with_name(f"{path.stem}-revision-{revision}-{stamp}{path.suffix}")
    part = copy.with_name(copy.name + ".part")
    try:
        _copy(path, part)
        os.replace(part, copy)
    except (OSError, sqlite3.Error) as error:
        part.unlink(missing_ok=True)
        raise BookError(f"book {path}: no backup could be made ({error}); the book was left as it was") from error
    return copy


def _copy(path: Path, part: Path) -> None:
    with contextlib.closing(sqlite3.connect(path)) as source, contextlib.closing(sqlite3.connect(part)) as target:
        source.backup(target)
