"""A case file whose readings go into the book, so that what is read next in the app holds for it."""

from __future__ import annotations

import os
import shutil
from dataclasses import replace
from pathlib import Path
from threading import get_ident

from stainbook.book import Book
from stainbook.errors import InputError
from stainbook.files.case_writer import format_case
from stainbook.records import Case, CaseZone, SampleRef
from stainbook.work.case.keep import kept_case
from stainbook.work.case.zones import Library, case_at
from stainbook.work.reading.viewing_conditions import Asked

AS_IT_WAS = ".was"  # behind the name of the case file that was brought


def follow_book(book: Book, path: Path, *, fired: frozenset[tuple[int, str]] = frozenset()) -> Case:
    """Put a case and its readings into the book, and let its file name those; gives the case as the book has it.

    A file that named readings of other files stays beside the new one, as it was.
    fired : zones that had a firing since; they and the stage are told so.

    Raises InputError for a case that cannot be used or written.
    """
    case = case_at(book, path)
    kept = kept_case(case, Library(book, Asked()))
    kept.case = _fired(kept.case, fired)
    with book.transaction() as step:
        kept.store(step)
    if any(_in_a_file(zone) for zone in case.zones):
        _keep_as_it_was(path)
        write_case_file(path, kept.case)
    elif fired:
        write_case_file(path, kept.case)
    return kept.case


def _in_a_file(zone: CaseZone) -> bool:
    return isinstance(zone.now, SampleRef) and zone.now.file is not None


def _fired(case: Case, zones: frozenset[tuple[int, str]]) -> Case:
    if not zones:
        return case
    told = tuple(replace(zone, fired=zone.fired + 1) if zone.key in zones else zone for zone in case.zones)
    stage = case.stage if case.stage == "glazed" else "stained"
    return replace(case, zones=told, stage=stage, accepted_by=None, returned=None)


def _keep_as_it_was(path: Path) -> None:
    kept = path.with_name(path.name + AS_IT_WAS)
    if not kept.exists():
        shutil.copyfile(path, kept)


def write_case_file(path: Path, case: Case) -> None:
    """Write a case as a file.

    Zones that follow the short set are left to it, since a file cannot say how far they are from what is read.
    The file is there as it was or as it is, never in part: other sessions read it meanwhile.

    Raises InputError where it cannot be written; then it is as it was.
    """
    short = any(zone.like_spread is not None for zone in case.zones)
    zones = tuple(replace(zone, like=None) if zone.like_spread is not None else zone for zone in case.zones)
    text = format_case(replace(case, zones=zones))
    _replace(path.resolve(), text + ("readings: short\n" if short else ""))


def _replace(path: Path, text: str) -> None:
    part = path.with_name(f"{path.name}.{os.getpid()}-{get_ident()}.part")
    try:
        part.write_text(text, encoding="utf-8", newline="\n")
        if path.exists():
            shutil.copymode(path, part)
        os.replace(part, path)
    except OSError as error:
        part.unlink(missing_ok=True)
        raise InputError(f"{path}: cannot be written ({error.strerror}); choose another place") from error
