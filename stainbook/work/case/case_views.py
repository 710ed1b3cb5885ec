"""The cases of a folder, what tells one content of a case from another, and its gaps."""

from __future__ import annotations

import functools
import hashlib
import os
import re
from collections.abc import Iterator
from pathlib import Path

from stainbook.book import open_book
from stainbook.records import Case, SampleRef
from stainbook.work.case.case_gaps import CaseGaps, case_gaps
from stainbook.work.case.views import CaseView
from stainbook.work.case.zones import FOLDER_READINGS, case_at

_CASE_KEY = re.compile(r"^case\s*:", re.MULTILINE)
_STAGE_KEY = re.compile(r"^stage\s*:\s*[\"']?(\w+)", re.MULTILINE)
_HEAD_CHARACTERS = 4096  # in which a case file says that it is one


def case_files_in(folder: Path) -> list[Path]:
    """The case files of a folder, by name: YAML with a ``case`` key near its top; none where there is no folder."""
    return sorted(path for path, _, _ in case_heads(folder))


def case_heads(folder: Path) -> Iterator[tuple[Path, int, str]]:
    """Each case file of a folder, when it was changed (ns), and its stage, empty where its head names none."""
    try:
        entries = list(os.scandir(folder))
    except OSError:
        return
    for entry in entries:
        if entry.name.endswith(".yaml") and entry.is_file():
            seen = entry.stat()
            stage = _stage_of(entry.path, seen.st_mtime_ns, seen.st_size)
            if stage is not None:
                yield Path(entry.path), seen.st_mtime_ns, stage


@functools.lru_cache(maxsize=50_000)
def _stage_of(path: str, changed: int, size: int) -> str | None:
    """The stage of a case file that was changed then, None for a file that is no case; read once for each change."""
    with open(path, encoding="utf-8", errors="replace") as file:
        head = file.read(_HEAD_CHARACTERS)
    found = _STAGE_KEY.search(head)
    return (found[1] if found else "") if _CASE_KEY.search(head) else None


def case_mark(url: str | None, path: Path) -> str:
    """A text that changes whenever the book, the case file or a file that it names does.

    Raises InputError for a case file that cannot be used, BookError for a book that cannot be opened.
    """
    with open_book(url) as book:
        case = case_at(book, path)
        change = book.last_change()
    seen = [f"{url} {change}", *(_file_mark(one) for one in (path, *_named_files(case)))]
    return hashlib.sha256("\n".join(seen).encode()).hexdigest()


def _named_files(case: Case) -> list[Path]:
    refs = [ref for zone in case.zones for ref in (zone.now, zone.target.colour if zone.target else None)]
    named = [ref.file for ref in refs if isinstance(ref, SampleRef) and ref.file]
    beside = [case.folder / name for name in FOLDER_READINGS] if case.folder else []
    return sorted({*named, *beside})


def _file_mark(path: Path) -> str:
    if not path.is_file():
        return f"{path} -"
    found = path.stat()
    return f"{path} {found.st_size} {found.st_mtime_ns}"


def view_gaps(url: str | None, path: Path) -> CaseView:
    """The gaps of a case alone, which are there at once.

    Raises InputError for files that cannot be used, BookError for a book that cannot be opened.
    """
    with open_book(url) as book:
        return gaps_shown(case_gaps(book, path))


def gaps_shown(gaps: CaseGaps) -> CaseView:
    """The gaps of a case as its page shows them."""
    return CaseView(gaps.case, gaps.shown, warnings=(*([gaps.why] if gaps.why else []), *gaps.warnings))
