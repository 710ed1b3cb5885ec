"""The case files of a folder: a way into the book."""

from __future__ import annotations

import functools
import os
import re
from collections.abc import Collection
from pathlib import Path

_CASE_KEY = re.compile(r"^case\s*:\s*[\"']?([^\s\"'#]+)", re.MULTILINE)
_HEAD_CHARACTERS = 4096  # in which a case file says that it is one


def case_files_in(folder: Path) -> list[Path]:
    """The case files of a folder, by name: YAML with a ``case`` key near its top; none where there is no folder."""
    try:
        entries = list(os.scandir(folder))
    except OSError:
        return []
    found = [Path(one.path) for one in entries if one.name.endswith(".yaml") and one.is_file() and _stays(one, folder)]
    return sorted(path for path in found if code_of(path) is not None)


def new_case_files(folder: Path, known: Collection[str]) -> list[Path]:
    """The case files of a folder whose codes are not among those that are known."""
    return [path for path in case_files_in(folder) if code_of(path) not in known]


def _stays(entry: os.DirEntry[str], folder: Path) -> bool:
    """False for a link that leads out of the folder."""
    return not entry.is_symlink() or Path(entry.path).resolve().is_relative_to(folder.resolve())


def code_of(path: Path) -> str | None:
    """The code of a case file, None for a file that is none; read once for each change."""
    seen = path.stat()
    return _code(str(path), seen.st_mtime_ns, seen.st_size)


@functools.lru_cache(maxsize=10_000)
def _code(path: str, changed: int, size: int) -> str | None:
    with open(path, encoding="utf-8", errors="replace") as file:
        found = _CASE_KEY.search(file.read(_HEAD_CHARACTERS))
    return found[1] if found else None
