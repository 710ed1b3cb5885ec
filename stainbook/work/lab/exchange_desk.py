"""Handing on and taking in as a page does it: bytes out, bytes in, nothing left on the disk."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TypeVar

from stainbook.book import Book
from stainbook.book.thing_words import thing_words
from stainbook.errors import InputError, message
from stainbook.inside import temporary, within
from stainbook.language import say, with_names
from stainbook.match import UNWATCHED, Watch
from stainbook.records import Case, SampleRef
from stainbook.work.case.current_case import known_case
from stainbook.work.case.open_case import as_opened, steps_of
from stainbook.work.documents.book_schemas import ImportItem, ImportResult
from stainbook.work.lab.bundle import write_bundle
from stainbook.work.lab.exchange import RENAMED, ImportChoices, export, import_
from stainbook.work.lab.folder import ExchangeContent, bare, write_folder
from stainbook.work.reading.dropped import Dropped

KINDS = {"zip": "application/zip", "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"}
MOST_MB = 64  # of a bundle that is dropped on the page
TAKEN = ("zip", "yaml", "yml")
ACTIONS = ("take", "rename", "skip", "erase")
_ODD = re.compile(r"[^A-Za-z0-9_-]+")
_LONGEST = 60
R = TypeVar("R")


@dataclass(frozen=True, slots=True)
class ImportChoice:
    """What to do with one thing of a bundle."""

    kind: str
    name: str
    action: str  # of ACTIONS
    new_name: str = ""


# ---------------------------------------------------------------- out


def packed_book(book: Book, kind: str, *, history: bool = False) -> bytes:
    """The book's content as a bundle (``zip``) or a workbook (``xlsx``); raises InputError as `export` does.

    history : with all that was ever stored, by whom and when, photos too: for the lab itself, not for another one
    """
    with temporary() as place:
        path = Path(place) / f"book.{kind}"
        export(book, path, history=history)
        return path.read_bytes()


def packed_case(book: Book, code: str) -> bytes:
    """All that the book holds of one case as a bundle that any book takes in.

    Raises UnknownNameError for a case that the book does not hold.
    """
    with temporary() as place:
        folder = Path(place) / "case"
        write_folder(content_of_case(book, code), folder)
        path = Path(place) / "case.zip"
        write_bundle(folder, path)
        return path.read_bytes()


def content_of_case(book: Book, code: str) -> ExchangeContent:
    """A case as it was opened, its readings, steps, firings and outcomes; the lab's guide and stains stay."""
    current = known_case(book, code)
    case = bare(as_opened(current))
    samples, longer = _samples(case), [f"{one}-" for one in book.names("case") if one.startswith(f"{code}-")]
    of_it = [one for one in book.readings() if one.sample in samples or _is_of(one.sample, code, longer)]
    return ExchangeContent(
        cases=(case,),
        readings=tuple(map(bare, of_it)),
        steps=steps_of(current.events),
        firings=tuple(bare(one) for one in book.firings() if one.case == code),
        outcomes=tuple(map(bare, book.outcomes_of(code))),
    )


def _is_of(sample: str, code: str, longer: Iterable[str]) -> bool:
    """Whether a sample bears a case's code; W-1-2-11-middle is not of W-1 where the book knows a case W-1-2."""
    return sample.startswith(f"{code}-") and not sample.startswith(tuple(longer))


def _samples(case: Case) -> set[str]:
    refs = [ref for zone in case.zones for ref in (zone.now, zone.target.colour if zone.target else None)]
    return {ref.sample for ref in refs if isinstance(ref, SampleRef)}


def safe_name(name: str, ending: str) -> str:
    """A file name for a download: letters, digits, - and _ alone, whatever the thing is called."""
    return f"{_ODD.sub('_', name).strip('_')[:_LONGEST] or 'file'}.{ending}"


def book_name(kind: str, *, history: bool = False) -> str:
    """The file name of the whole book, with the day."""
    return safe_name(f"lab-{datetime.now(UTC):%Y-%m-%d}{'-whole' if history else ''}", kind)


# ---------------------------------------------------------------- in


def preview(book: Book, dropped: Dropped, *, watch: Watch = UNWATCHED) -> list[ImportItem]:
    """What a bundle or case file holds, and what the book has of it; raises as `import_` does."""
    return _with(dropped, lambda path: import_(book, path, preview=True, watch=watch)).items


def take_in(book: Book, dropped: Dropped, choices: Iterable[ImportChoice], *, watch: Watch = UNWATCHED) -> ImportResult:
    """Take in what was chosen and leave the rest; raises as `import_` does, then nothing is stored."""
    chosen = list(choices)
    for one in chosen:
        if one.action == "rename" and not one.new_name.strip():
            raise InputError(
                say(
                    "{kind} {name!r} has no new name, expected one to take it under",
                    kind=thing_words(one.kind),
                    name=one.name,
                )
            )
    done = ImportChoices(
        take=frozenset((one.kind, one.name) for one in chosen if one.action == "take"),
        skip=frozenset((one.kind, one.name) for one in chosen if one.action == "skip"),
        rename={(one.kind, one.name): one.new_name.strip() for one in chosen if one.action == "rename"},
    )
    return _with(dropped, lambda path: import_(book, path, done, watch=watch))


def can_rename(kind: str) -> bool:
    """Whether things of a kind can be taken under another name."""
    return kind in RENAMED


def _with(dropped: Dropped, do: Callable[[Path], R]) -> R:
    """Do something with the dropped file in a place of its own; errors name the file alone."""
    if len(dropped.data) > MOST_MB * 2**20:
        raise InputError(
            say(
                "{file}: found more than {megabytes} MB, expected a bundle; nothing was taken from it",
                file=dropped.name,
                megabytes=MOST_MB,
            )
        )
    ending = Path(dropped.name).suffix.lower().lstrip(".")
    with temporary() as place:
        path = Path(place) / safe_name(Path(dropped.name).stem, ending if ending in TAKEN else "zip")
        path.write_bytes(dropped.data)
        try:
            with within(Path(place)):
                return do(path)
        except InputError as error:
            raise InputError(with_names(message(error), lambda said: _without(place, said))) from error


def _without(place: str, said: str) -> str:
    """A message without the place where the file was put for a moment."""
    return re.sub(re.escape(place) + r"[^\s:]*?/?([^\s:/]+)(?=[\s:]|$)", r"\1", said)
