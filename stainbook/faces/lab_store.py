"""The one open book of a place in this process, and what was worked out from it."""

from __future__ import annotations

import contextlib
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

from stainbook.work.app.turns import Turns

if TYPE_CHECKING:
    from stainbook.book import Book


class Clearable(Protocol):
    """What works on, or keeps what it worked out, for as long as a book is open."""

    def clear(self) -> None:
        """Stop, and forget."""


T = TypeVar("T")
L = TypeVar("L", bound=Clearable)
Mark = tuple[int, int]  # the newest row of the journal, and the writes of this process that were seen
MOST_KEPT = 512  # results, the newest used

_stores: dict[str, LabStore] = {}
_stores_lock = threading.Lock()


def store_of(url: str | None) -> LabStore:
    """Give the store of a place, one a process; raises InputError for a URL that cannot name a book.

    >>> store_of("sqlite:///lab.db") is store_of("sqlite:///lab.db")
    True
    """
    from stainbook.book.location import locate

    place = locate(url)
    if place.drivername == "sqlite":
        place = place.set(database=str(Path(str(place.database)).absolute()))
    key = place.render_as_string(hide_password=False)
    with _stores_lock:
        return _stores.setdefault(key, LabStore(key))


def close_all() -> None:
    """Give the connections of all stores back and forget what was worked out.

    >>> before = store_of("sqlite:///lab.db")
    >>> close_all()
    >>> before.is_closed
    True
    """
    with _stores_lock:
        found = list(_stores.values())
        _stores.clear()
    for one in found:
        one.close()


@dataclass(slots=True)
class _Look:
    mark: Mark | None = None


class LabStore:
    """A book that is opened once, at its first use, and results that hold until something newer is stored."""

    def __init__(self, url: str) -> None:
        self.url = url
        self.is_closed = False
        self._lock = threading.RLock()
        self._opened: Book | None = None
        self._writes = 0
        self._results: OrderedDict[Hashable, tuple[Mark, Any]] = OrderedDict()
        self._last: Mark = (0, 0)  # of the newest result
        self._lasting: dict[Hashable, Any] = {}
        self._local = threading.local()
        self.turns = Turns()

    @property
    def book(self) -> Book:
        """The open book; made or migrated first where that is needed.

        Raises BookError for a book that cannot be opened.
        """
        with self._lock:
            if self._opened is None or not self._opened.is_there:
                from stainbook.book import open_book

                self._forget()
                self._opened = open_book(self.url)
                self._opened.on_write(self._wrote)
            return self._opened

    @property
    def exists(self) -> bool:
        """Whether there is a book, without making one."""
        from stainbook.book.location import book_exists

        return book_exists(self.url)

    def _wrote(self) -> None:
        self._writes += 1

    def mark(self) -> Mark:
        """One query for the newest row of the journal; within a look only the first time, and after a write."""
        look: _Look | None = getattr(self._local, "look", None)
        writes = self._writes
        if look is not None and look.mark is not None and look.mark[1] == writes:
            return look.mark
        found = self.book.newest_row(), writes
        if look is not None:
            look.mark = found
        return found

    @contextlib.contextmanager
    def look(self) -> Iterator[None]:
        """While this lasts, the thread asks for the newest row once: one drawing of a page, one command."""
        if getattr(self._local, "look", None) is not None:
            yield
            return
        self._local.look = _Look()
        try:
            with self.turns.busy():
                yield
        finally:
            self._local.look = None

    def kept(self, key: Hashable, make: Callable[[], T]) -> T:
        """What was made under a key, made anew once something newer was stored; shared between threads, so frozen."""
        mark = self.mark()
        with self._lock:
            found = self._results.get(key)
            if found is not None and found[0] == mark:
                self._results.move_to_end(key)
                kept: T = found[1]
                return kept
        made = make()
        with self._lock:
            if mark > self._last:  # of what is older nobody asks again, but a look that goes on
                self._last = mark
                self._results = OrderedDict(one for one in self._results.items() if one[1][0] >= mark)
            self._results[key] = mark, made
            self._results.move_to_end(key)
            while len(self._results) > MOST_KEPT:
                self._results.popitem(last=False)
        return made

    def lasting(self, key: Hashable, make: Callable[[], L]) -> L:
        """What was made under a key once, for as long as the book is open."""
        with self._lock:
            found: L = self._lasting[key] if key in self._lasting else self._lasting.setdefault(key, make())
            return found

    def _forget(self) -> None:
        for one in self._lasting.values():
            one.clear()
        self._lasting.clear()
        self._results.clear()
        self._last = (0, 0)

    def close(self) -> None:
        """Give the connections back and forget the results; the next use opens the book again."""
        with _stores_lock:
            if _stores.get(self.url) is self:
                del _stores[self.url]
        with self._lock:
            self.is_closed = True
            if self._opened is not None:
                self._opened.close()
            self._opened = None
            self._forget()
