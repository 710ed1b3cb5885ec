"""The open book, and one transaction on it."""

from __future__ import annotations

import contextlib
import getpass
from collections.abc import Iterator
from contextlib import AbstractContextManager
from types import TracebackType

from sqlalchemy import Connection

from stainbook.book.engines import Engines
from stainbook.book.shelves import Shelves


class Transaction(Shelves):
    """Everything read and written here is one step: all of it is stored, or nothing."""

    def __init__(self, connection: Connection, *, author: str, lab: str = "") -> None:
        super().__init__(author, lab=lab)
        self._connection = connection

    def _reading(self) -> AbstractContextManager[Connection]:
        return contextlib.nullcontext(self._connection)

    def _writing(self) -> AbstractContextManager[Connection]:
        return contextlib.nullcontext(self._connection)


class Book(Shelves):
    """The lab's book; each call is a step of its own, several are one inside ``transaction``."""

    def __init__(self, engines: Engines, *, author: str | None = None, lab: str = "", upto: int | None = None) -> None:
        super().__init__(author or _user(), lab=lab, upto=upto)
        self._engines = engines

    def _reading(self) -> AbstractContextManager[Connection]:
        return self._engines.reading()

    def _writing(self) -> AbstractContextManager[Connection]:
        return self._engines.writing()

    @contextlib.contextmanager
    def transaction(self) -> Iterator[Transaction]:
        """One step of several reads and writes, all through what this yields.

        Other writers wait meanwhile, this book's own methods too: compute before, not inside.

        Raises BookError where the store fails; then, and on any other error inside, nothing is stored.
        """
        with self._engines.writing() as connection:
            yield Transaction(connection, author=self.author, lab=self.lab)

    def as_of(self, number: int) -> Book:
        """The book as it was when row ``number`` was its newest; for reading."""
        return Book(self._engines, author=self.author, lab=self.lab, upto=number)

    def close(self) -> None:
        """Give all connections back."""
        self._engines.close()

    def __enter__(self) -> Book:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def _user() -> str:
    try:
        return getpass.getuser()
    except (OSError, KeyError):  # a container's user may have no name; KeyError before Python 3.13
        return "unknown"
