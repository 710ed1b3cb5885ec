"""The cases in the lab, each folded once until a row of the journal concerns it."""

from __future__ import annotations

import threading
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field

from stainbook.book import Book
from stainbook.work.case.current_case import CurrentCase, known_case
from stainbook.work.case.library import samples_of

MOST_ROWS = 1000  # stored between two looks, of which each is looked at
_OF_ALL = frozenset({"correction", "erased", "share", "stain"})  # kinds of rows that may concern any case


def codes_in(names: Iterable[str]) -> set[str]:
    """The cases that firings, outcomes and the like are named after: all that stands before a blank."""
    return {name[:end] for name in names for end in (*(at for at, one in enumerate(name) if one == " "), len(name))}


@dataclass(slots=True)
class FoldedCases:
    """Keeps what the open cases of a book are; threads may share it."""

    _known: dict[str, CurrentCase] = field(default_factory=dict)
    _names: dict[str, frozenset[str]] = field(default_factory=dict)
    _seen: int = 0
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def in_the_lab(self, book: Book) -> dict[str, CurrentCase]:
        """The cases that did not leave the lab, the one that was told of last first."""
        with self._lock:
            self._forget(book)
            heads = sorted((head for head in book.case_heads() if not head[2]), key=lambda head: head[1], reverse=True)
            return {code: self._of(book, code) for code, _, _ in heads}

    def clear(self) -> None:
        """Forget all of them."""
        with self._lock:
            self._known.clear()
            self._names.clear()

    def _of(self, book: Book, code: str) -> CurrentCase:
        if code not in self._known:
            self._known[code] = known_case(book, code)
            self._names[code] = frozenset((code, *samples_of(self._known[code].case)))
        return self._known[code]

    def _forget(self, book: Book) -> None:
        newest = book.newest_row()
        rows = book.stored_since(self._seen, MOST_ROWS) if newest > self._seen else []
        self._seen = newest
        named = {name for _, name in rows}
        gone = [*self._known] if _concern_all(rows) else self._concerned(named)
        for code in gone:
            del self._known[code]
            del self._names[code]

    def _concerned(self, named: Collection[str]) -> list[str]:
        codes = codes_in(named)
        return [code for code, own in self._names.items() if code in codes or not own.isdisjoint(named)]


def _concern_all(rows: Collection[tuple[str, str]]) -> bool:
    return len(rows) == MOST_ROWS or any(kind in _OF_ALL for kind, _ in rows)


def in_the_lab(book: Book) -> dict[str, CurrentCase]:
    """The cases that did not leave the lab, for who asks once."""
    return FoldedCases().in_the_lab(book)
