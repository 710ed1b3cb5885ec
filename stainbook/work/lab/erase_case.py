"""Erasing a case, with the duties that go with it pointed out, its files, and where it may still be."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from stainbook.book import Book
from stainbook.book.mention import Mention
from stainbook.errors import InputError, some_of
from stainbook.files import read_case
from stainbook.inside import within
from stainbook.language import say
from stainbook.work.documents.book_schemas import EraseResult

DUTY = say("labs must keep records of custom-made devices for years by local rules: export the case first if they hold")
AS_IT_WAS = ".was"  # behind the name of a case file that versions before replaced
MOST_FILES = 20_000  # of a folder that are looked at
MOST_BYTES = 2**22  # of a file that is looked into


def erase_case(
    book: Book, case: str, *, why: str | None = None, sure: bool = False, folder: Path | None = None
) -> EraseResult:
    """Take what names a case out of the book.

    folder : where the lab keeps its case files; the case's own one, and as it was before, go from there, other files
        that name it are listed

    Raises UnknownNameError for a case that the book does not hold, InputError unless ``sure``.
    """
    own = list(_own_files(folder, case)) if folder is not None else []
    if not sure:
        if own:
            files = some_of(path.name for path in own)
            raise InputError(
                say("nothing was erased: {duty}; --yes erases {case!r} and {files}", duty=DUTY, case=case, files=files)
            )
        raise InputError(say("nothing was erased: {duty}; --yes erases {case!r}", duty=DUTY, case=case))
    codes = book.names("case")
    tombstone = book.erase_case(case, why=why)
    for path in own:
        path.unlink(missing_ok=True)
    named = [path.name for path in _naming(folder, Mention(case, "", codes))] if folder is not None else []
    beyond = [say("files of {folder} that name it: {files}", folder=folder, files=some_of(named))] if named else []
    beyond += book.beyond_reach()
    return EraseResult(
        tombstone=tombstone.name,
        records=len(tombstone.rows),
        files=[path.name for path in own],
        beyond_reach=beyond,
        warnings=[DUTY, *(say("out of reach, and may still hold the case: {place}", place=one) for one in beyond)],
    )


def _own_files(folder: Path, case: str) -> Iterator[Path]:
    """The case's own file, and what stands beside it as it was before."""
    for path in _files(folder):
        name = path.name.removesuffix(AS_IT_WAS)
        if name.endswith((".yaml", ".yml")) and _code_of(path) == case:
            yield path


def _code_of(path: Path) -> str | None:
    try:
        with within(path.parent):
            return read_case(path).records[0].case
    except InputError:
        return None


def _naming(folder: Path, mention: Mention) -> Iterator[Path]:
    """The files of a folder whose name or text names a case."""
    for path in _files(folder):
        if mention.is_in(path.stem) or mention.is_in(_text_of(path)):
            yield path


def _text_of(path: Path) -> str:
    try:
        return "" if path.stat().st_size > MOST_BYTES else path.read_bytes().decode("utf-8", "replace")
    except OSError:
        return ""


def _files(folder: Path) -> list[Path]:
    """The files of a folder, not of those below it; links are none of ours."""
    try:
        entries = sorted(os.scandir(folder), key=lambda one: one.name)[:MOST_FILES]
    except OSError:
        return []
    return [Path(one.path) for one in entries if one.is_file(follow_symlinks=False)]
