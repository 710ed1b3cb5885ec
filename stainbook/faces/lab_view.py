"""What every face stands on: a light view of a shared store, for one author, role and laboratory."""

from __future__ import annotations

import os
from collections.abc import Callable, Hashable
from contextlib import AbstractContextManager
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from stainbook.errors import BookError
from stainbook.faces.lab_store import L, LabStore, store_of
from stainbook.faces.permits import guard
from stainbook.language import say
from stainbook.permit import Permit, known_role

if TYPE_CHECKING:
    from stainbook.book import Book
    from stainbook.work.case.current_case import CurrentCase

T = TypeVar("T")


class LabView:
    """A lab's book as somebody sees it; making one opens nothing, and threads may share it.

    role : reader, technician or lead, by which the book is guarded; None: whoever has the book may do all
    told : hears what is handed out and erased under a role
    """

    def __init_subclass__(cls) -> None:
        guard(cls, lambda lab: lab.permit)

    def __init__(
        self,
        url: str | None = None,
        *,
        author: str | None = None,
        role: str | None = None,
        laboratory: str = "",
        language: str = "en",
        told: Callable[[str, str], None] | None = None,
    ) -> None:
        self.url = url or os.environ.get("STAINBOOK_BOOK") or None
        self.author, self.role, self.language = author, role and known_role(role), language
        self.permit = Permit(role, told) if role else None
        self._store: LabStore | None = None
        self.laboratory = laboratory or os.environ.get("STAINBOOK_LAB", "")

    @property
    def store(self) -> LabStore:
        """The store of this place in this process; raises InputError for a URL that cannot name a book.

        >>> lab.store is LabView("sqlite:///lab.db").store
        True
        """
        if self._store is None or self._store.is_closed:
            self._store = store_of(self.url)
        return self._store

    @property
    def book(self) -> Book:
        """The lab's book, opened once for all views of it; raises InputError or BookError where it cannot be.

        >>> lab.book.in_a_file
        True
        """
        return self.store.book.seen_by(self.author, self.laboratory, self.permit)

    def book_if_there(self) -> Book | None:
        """Give the lab's book, None where it has none yet: looking makes no book.

        >>> print(LabView("sqlite:///none-yet.db").book_if_there())
        None
        """
        return self.book if self.store.exists else None

    def book_that_is_there(self) -> Book:
        """Give the lab's book; raises BookError where there is none: of a slip in its name no empty one is made.

        >>> LabView("sqlite:///none-yet.db").book_that_is_there()
        Traceback (most recent call last):
        stainbook.errors.BookError: there is no book at none-yet.db; is its name right?
        """
        found = self.book_if_there()
        if found is None:
            from stainbook.book.location import locate, shown

            raise BookError(say("there is no book at {place}; is its name right?", place=shown(locate(self.url))))
        return found

    def newest(self) -> int:
        """Give the number of the newest row of the journal, by one query.

        >>> before = lab.newest()
        >>> lab.case("W-1042").accept("clinic").accepted_by
        'clinic'
        >>> lab.newest() - before
        1
        """
        return self.store.mark()[0]

    def look(self) -> AbstractContextManager[None]:
        """While this lasts, this thread asks once which row is newest: one drawing of a page.

        >>> with lab.look():
        ...     first, second = lab.newest(), lab.newest()  # one query
        """
        return self.store.look()

    def kept(self, key: Hashable, make: Callable[[], T]) -> T:
        """Give a result that is worked out once until something newer is stored.

        key : names the result within the laboratory; make : works it out

        >>> lab.kept("words", lambda: ["first"]), lab.kept("words", lambda: ["second"])
        (['first'], ['first'])
        """
        return self.store.kept((self.laboratory, key), make)

    def lasting(self, key: Hashable, make: Callable[[], L]) -> L:
        """Give what lasts as long as the book is open: work that goes on, boards.

        >>> from stainbook.work.app.waiting import Board
        >>> lab.lasting("board", Board) is lab.lasting("board", Board)
        True
        """
        return self.store.lasting((self.laboratory, key), make)

    def close(self) -> None:
        """Close the book, where this view used it, for all views in this process; the next use opens it again.

        >>> lab.close()
        >>> lab.newest() > 0
        True
        """
        if self._store is not None:
            self._store.close()

    def __enter__(self) -> LabView:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


class LabFace:
    """A topic of a lab."""

    def __init_subclass__(cls) -> None:
        guard(cls, lambda face: face._lab.permit)

    def __init__(self, lab: LabView) -> None:
        self._lab = lab

    @property
    def _book(self) -> Book:
        return self._lab.book

    def _in_the_lab(self) -> dict[str, CurrentCase]:
        """The cases that did not leave the lab, each folded once until something concerns it."""
        from stainbook.work.case.folded_cases import FoldedCases

        cases = self._lab.lasting("folded", FoldedCases)
        return self._lab.kept("in the lab", lambda: cases.in_the_lab(self._book))

    def _kept(self, key: Hashable, make: Callable[[], T]) -> T:
        """As `LabView.kept`, under keys of this face alone."""
        return self._lab.kept((type(self).__name__, key), make)


class CaseTopic(LabFace):
    """A topic of one case, by its code in the book or by its file."""

    def __init__(self, lab: LabView, what: str | Path) -> None:
        super().__init__(lab)
        self.what = what

    @property
    def _code(self) -> str:
        return str(self.what)

    def _kept(self, key: Hashable, make: Callable[[], T]) -> T:
        """As of any face, of a case of the book; a file may change at any time."""
        from stainbook.work.case.current_case import is_file

        return make() if is_file(self.what) else super()._kept((self._code, key), make)


def url_of(given: str | Path | None) -> str | None:
    """Give the URL of a book that is named by its URL or by its file; None stays None.

    >>> url_of("postgresql+psycopg://localhost/north"), url_of("/srv/lab.db"), url_of(None)
    ('postgresql+psycopg://localhost/north', 'sqlite:////srv/lab.db', None)
    """
    if given is None or (isinstance(given, str) and "://" in given):
        return given
    return f"sqlite:///{Path(given).absolute()}"
