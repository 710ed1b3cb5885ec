"""Where files may be read: on the command line anywhere, in a bundle, an upload or on a page in their own folder only.

A case file may name other files, and somebody else may have written it. Whoever opens what came from outside reads
``within`` its folder; a link that leads out of it counts as outside.
"""

from __future__ import annotations

import contextlib
import tempfile
from collections.abc import Iterator
from contextvars import ContextVar
from pathlib import Path

from stainbook.errors import FileError
from stainbook.language import say

_folders: ContextVar[tuple[Path, ...] | None] = ContextVar("folders", default=None)


@contextlib.contextmanager
def within(*folders: Path) -> Iterator[None]:
    """Inside, files are read in these folders alone."""
    token = _folders.set(tuple(folder.resolve() for folder in folders))
    try:
        yield
    finally:
        _folders.reset(token)


@contextlib.contextmanager
def temporary() -> Iterator[str]:
    """A folder of our own for a moment, for its owner alone, that may be read inside too; gives its path."""
    with tempfile.TemporaryDirectory(prefix="stainbook-") as place:
        folders = _folders.get()
        if folders is None:
            yield place
            return
        with within(*folders, Path(place)):
            yield place


def check_inside(path: Path) -> None:
    """Refuse a file outside of the folders that may be read; raises FileError, which quotes nothing of it."""
    folders = _folders.get()
    if folders is not None and not any(path.resolve().is_relative_to(folder) for folder in folders):
        found, expected = say("a file in another folder"), say("one in the folder of the case or bundle")
        hint = say("put it beside the case file, or use the command")
        raise FileError(path.name, found, expected, hint=hint)
