"""A case is changed as a revision of its own, and changed back: nothing of its history goes.

What happened to the piece is no setting: a change is undone only back to the last firing, acceptance, delivery or
return.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from stainbook.book import Book, open_book
from stainbook.errors import StainbookError
from stainbook.files.text import write_text
from stainbook.records import Case
from stainbook.work.case.case_edits import difference_in_words
from stainbook.work.case.delivery import OUT
from stainbook.work.case.follow import follow_book, write_case_file
from stainbook.work.case.undo import Undo, last_step
from stainbook.work.case.zones import case_at

Edit = Callable[[Case, Book], Case]


def change_case(url: str | None, path: Path, edit: Edit) -> Case:
    """Change a case in its file and as a revision in the book; gives it as it is now.

    Raises InputError for what makes no case; then nothing is changed.
    """
    with open_book(url) as book:
        before = follow_book(book, path)
        return _stored(book, path, edit(before, book))


def undoable(url: str | None, path: Path) -> Undo | None:
    """The change that an undo would take back; None where there is none."""
    with open_book(url) as book:
        last = _stack(book, path)
    return last[0] if last else None


def undo(url: str | None, path: Path) -> Undo | None:
    """Take the newest change of a case back, as a revision of its own; gives what it was, None where there is none."""
    with open_book(url) as book:
        last = _stack(book, path)
        if last is None:
            return None
        follow_book(book, path)
        _stored(book, path, last[1])
        return last[0]


def _stored(book: Book, path: Path, case: Case) -> Case:
    was = path.read_text(encoding="utf-8")
    write_case_file(path, case)
    try:
        return follow_book(book, path)
    except StainbookError:  # also a book that cannot be written
        write_text(path, was)
        raise


def _stack(book: Book, path: Path) -> tuple[Undo, Case] | None:
    """The newest change and the case before it: an undo takes its change off, a fact of the piece all changes."""
    entered = book.entered("case", case_at(book, path).case)
    states = [(replace(one.record, source=""), one.author, one.created_at) for one in entered]
    found = last_step(states, difference_in_words, _facts)
    return (found[0], replace(found[1], folder=path.parent)) if found else None


def _facts(case: Case) -> Any:
    out = case.stage if case.stage in (*OUT, "returned") else None
    return {zone.key: zone.fired for zone in case.zones if zone.fired}, case.accepted_by, case.returned, out
