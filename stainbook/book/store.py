"""The open book, and one transaction on it."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Collection, Hashable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path
from types import TracebackType
from typing import TypeVar

from sqlalchemy import Connection, event

from stainbook.book import book_tables, index, journal, scrub
from stainbook.book.engines import Engines, connect
from stainbook.book.entries import Erased
from stainbook.book.journal import last_row
from stainbook.book.location import shown
from stainbook.book.shelves import Shelves
from stainbook.book.verify import check
from stainbook.errors import BookError
from stainbook.language import say
from stainbook.notices import tell
from stainbook.permit import LEAD, TECHNICIAN, Permit

T = TypeVar("T")


class Transaction(Shelves):
    """Everything read and written here is one step: all of it is stored, or nothing.

    >>> with book.transaction() as step:
    ...     step.add_readings([reading])  # the book holds it already
    0
    """

    def __init__(
        self,
        connection: Connection,
        *,
        author: str,
        lab: str = "",
        upto: int | None = None,
        permit: Permit | None = None,
    ) -> None:
        super().__init__(author, lab=lab, upto=upto)
        self._connection = connection
        self.permit = permit

    def _reading(self) -> AbstractContextManager[Connection]:
        return contextlib.nullcontext(self._connection)

    def _writing(self) -> AbstractContextManager[Connection]:
        return contextlib.nullcontext(self._connection)

    def as_of(self, number: int) -> Transaction:
        """Give what the book held when row ``number`` was its newest; for reading.

        >>> with book.transaction() as step:
        ...     len(step.as_of(0).cases()), len(step.cases())
        (0, 1)
        """
        return Transaction(self._connection, author=self.author, lab=self.lab, upto=number)


class Book(Shelves):
    """The lab's book; each call is a step of its own, several are one inside ``transaction``.

    permit : of who looks at it; None: whoever has the book may do all
    """

    def __init__(
        self,
        engines: Engines,
        *,
        author: str | None = None,
        lab: str = "",
        upto: int | None = None,
        permit: Permit | None = None,
    ) -> None:
        super().__init__(author or _user(), lab=lab, upto=upto)
        self._engines = engines
        self.permit = permit

    def _reading(self) -> AbstractContextManager[Connection]:
        return self._engines.reading()

    def _writing(self) -> AbstractContextManager[Connection]:
        if self.permit is not None:  # the one way to a row: whatever was asked above, a reader stores nothing
            self.permit.need(TECHNICIAN)
        return self._engines.writing(self.lab)

    def kept(self, key: Hashable, make: Callable[[], T], *, of: Collection[str] = ()) -> T:
        """Give what follows from the records of this book alone, made once as long as nothing newer is stored.

        key : names it among all that is kept; what is made is shared between threads, so nobody changes it
        of : the kinds of records that it follows from, where these are few; what takes records back is always meant

        >>> book.kept("words", lambda: ["first"]), book.kept("words", lambda: ["second"])
        (['first'], ['first'])
        """

        def mark() -> journal.Mark:
            with self._reading() as connection:
                return journal.mark(connection, self.scope, of)

        return self._engines.answers.kept(self.lab, mark, (key, self.scope.upto), make, of_all=not of)

    @contextlib.contextmanager
    def transaction(self) -> Iterator[Transaction]:
        """Make one step of several reads and writes, all through what this yields.

        Other writers wait meanwhile, this book's own methods too: compute before, not inside.

        Raises BookError where the store fails; then, and on any other error inside, nothing is stored.

        >>> with book.transaction() as step:
        ...     list(step.cases())
        ['W-7']
        """
        with self._writing() as connection:
            yield Transaction(connection, author=self.author, lab=self.lab, permit=self.permit)

    def as_of(self, number: int) -> Book:
        """Give the book as it was when row ``number`` was its newest; for reading.

        >>> len(book.as_of(1).readings()), len(book.readings())
        (0, 1)
        """
        return Book(self._engines, author=self.author, lab=self.lab, upto=number, permit=self.permit)

    def frozen(self) -> Book:
        """Give the book as it is now, whatever is stored later; for reading.

        >>> frozen = book.frozen()
        >>> list(frozen.cases())
        ['W-7']
        """
        with self._reading() as connection:
            return self.as_of(last_row(connection, self.scope))

    def copy_to(self, path: Path | None) -> tuple[Path, int]:
        """Copy a book in a file while others may write; gives the copy's path and how many rows it holds.

        path : of the copy; beside the book when None.

        Raises BookError where it cannot be written or is damaged, and for a book on a server.

        >>> path, rows = book.copy_to(Path("copy.db"))
        >>> path.name, rows
        ('copy.db', 2)
        """
        from stainbook.book.backup import back_up

        if not self._engines.is_sqlite:
            raise BookError(
                say("book {url} is on a server: back it up with pg_dump, or export it", url=shown(self._engines.url))
            )
        copy = back_up(Path(str(self._engines.url.database)), revision=book_tables.REVISION, to=path)
        engines = connect(self._engines.url.set(database=str(copy)), timeout=1.0)
        try:
            with engines.reading() as connection:
                checked = check(connection, lab=self.lab)
        finally:
            engines.close()
        if checked.faults:
            copy.unlink()
            raise BookError(
                say(
                    "book {url} is damaged and was not backed up: {fault}",
                    url=shown(self._engines.url),
                    fault=checked.faults[0],
                )
            )
        return copy, checked.rows

    def seen_by(self, author: str | None, lab: str, permit: Permit | None = None) -> Book:
        """Give the same open book for another author or laboratory; this bench's own name when ``author`` is None.

        permit : of who looks; None: all may be done

        >>> book.seen_by("bench-2", "").author
        'bench-2'
        """
        return Book(self._engines, author=author, lab=lab, permit=permit)

    def check_apart(self) -> None:
        """Refuse a database role that sees other labs than this one; raises BookError.

        >>> book.check_apart()  # a file has no roles
        """
        from stainbook.book.labs_apart import check_apart

        check_apart(self._engines, self.lab)

    @property
    def place(self) -> str:
        """Where it is, for messages: a file, or a URL without its password.

        >>> book.place
        'lab.db'
        """
        return shown(self._engines.url)

    @property
    def in_a_file(self) -> bool:
        """True for SQLite.

        >>> book.in_a_file
        True
        """
        return self._engines.is_sqlite

    @property
    def is_there(self) -> bool:
        """False for a file that was taken away since it was opened.

        >>> book.is_there
        True
        """
        return not self.in_a_file or Path(self.place).is_file()

    def on_write(self, call: Callable[[], None]) -> None:
        """Call a function after each commit of this process, whichever view of the open book wrote.

        >>> from stainbook.book import open_book
        >>> with open_book("sqlite:///heard.db") as heard:
        ...     heard.on_write(lambda: print("stored"))
        ...     heard.add_readings([reading])
        stored
        1
        """
        event.listen(self._engines.writer, "commit", lambda _: call())

    def erase_case(self, case: str, *, why: str | None = None) -> Erased:
        """Take what names a case out of the book and out of its file; nameless colours and a tombstone stay.

        Raises UnknownNameError where there is no such case.

        >>> book.erase_case("W-8")  # doctest: +ELLIPSIS
        Traceback (most recent call last):
            ...
        stainbook.errors.UnknownNameError: unknown case 'W-8'...
        """
        if self.permit is not None:
            self.permit.need(LEAD)
        tombstone = super().erase_case(case, why=why)
        self._engines.answers.clear()
        if self._engines.is_sqlite:
            for left in scrub.scrub(Path(str(self._engines.url.database))):
                tell(left)
        return tombstone

    def rebuild_index(self) -> None:
        """Make what searches run on again from the records, of all labs.

        >>> book.rebuild_index()
        """
        if self.permit is not None:
            self.permit.need(TECHNICIAN)
        with self._engines.writing() as connection:
            index.rebuild(connection)

    def beyond_reach(self) -> tuple[str, ...]:
        """Give where an erased case may still be found: what this program cannot reach, in sentences.

        >>> len(book.beyond_reach()) > 0
        True
        """
        if not self._engines.is_sqlite:
            return (*scrub.ON_A_SERVER, *scrub.ELSEWHERE)
        return (*scrub.copies_beside(Path(str(self._engines.url.database))), *scrub.ELSEWHERE)

    def close(self) -> None:
        """Give all connections back; the next call opens new ones.

        >>> book.close()
        >>> list(book.cases())
        ['W-7']
        """
        self._engines.close()

    def __enter__(self) -> Book:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def _user() -> str:
    """The name that the lab chose for this bench, never the system's login."""
    return os.environ.get("STAINBOOK_AUTHOR", "").strip() or "the lab"
