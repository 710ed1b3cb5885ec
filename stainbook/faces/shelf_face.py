"""``lab.shelf``: what the book holds, by name; found again, taken back, shared; the book checked and copied."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from stainbook.faces.lab_view import LabFace

if TYPE_CHECKING:
    from stainbook.work.documents.book_schemas import (
        BackupResult,
        HistoryResult,
        ListResult,
        SearchResult,
        ShareResult,
        ShowResult,
        VerifyResult,
        WithdrawResult,
    )


class ShelfFace(LabFace):
    """The things of the book."""

    def list(self, kind: str | None = None) -> ListResult:
        """Give how many things of each kind the book holds, or the things of one kind.

        Raises UnknownNameError for an unknown kind.

        >>> lab.shelf.list().counts["stain"], lab.shelf.list("operator").things[0].name
        (17, 'bench-1')
        """
        from stainbook.work.lab.things import list_things

        return list_things(self._book, kind)

    def show(self, name: str, kind: str | None = None) -> ShowResult:
        """Give a thing as it holds now; of a recipe also how it did.

        Raises UnknownNameError for an unknown name, InputError for a name of several kinds.

        >>> shown = lab.shelf.show("old neck")
        >>> shown.thing.kind, shown.thing.state, shown.revisions
        ('recipe', 'retired', 2)
        """
        from stainbook.work.lab.things import show_thing

        return show_thing(self._book, name, kind)

    def search(
        self,
        colour: str | None = None,
        words: Sequence[str] = (),
        conditions: Sequence[tuple[str, str]] = (),
        *,
        radius: float = 2.0,
        illuminant: str | None = None,
        observer: int | None = None,
        limit: int = 20,
    ) -> SearchResult:
        """Give what was done last time: by colour (nearest first), words and conditions (newest first).

        colour : ``L,a,b``; radius : ΔE00; conditions : pairs as (stain, husk), (lot, 24-117)
        Raises InputError for what is no colour, UnknownNameError for an unknown condition.

        >>> [one.name for one in lab.shelf.search("72,2,19", conditions=[("kind", "recipe")]).found]
        ['warm neck', 'soft middle']
        """
        from stainbook.work.lab.things import search_things, wanted_of

        wanted = wanted_of(colour, radius, words, conditions, illuminant=illuminant, observer=observer, limit=limit)
        return search_things(self._book, wanted)

    def history(self, name: str, kind: str | None = None, *, between: str | None = None) -> HistoryResult:
        """Give all revisions of a thing and what changed in each; ``between``: two of them, as ``M,N``.

        Raises UnknownNameError for an unknown name, InputError for what names no two revisions.

        >>> [(one.revision, one.why) for one in lab.shelf.history("old neck").revisions]
        [(1, None), (2, 'muddy: came back for its shade')]
        """
        from stainbook.work.lab.things import history, pair_of

        return history(self._book, name, kind, between=pair_of(between))

    def withdraw(self, thing: str, *, why: str, by: Path | None = None) -> WithdrawResult:
        """Take back a reading, an outcome, or a firing with its outcomes; it stays in the history.

        thing : ``KIND/NAME``; by : a readings file that has the sample as it should have been read
        Raises UnknownNameError for what the book does not hold, InputError for what was taken back before.

        >>> lab.shelf.withdraw("reading/W-1051-11-incisal", why="tip was dirty").kind
        'reading'
        """
        from stainbook.work.lab.book_changes import withdraw

        return withdraw(self._book, thing, why=why, by=by)

    def share(self, thing: str, *, shared: bool = True) -> ShareResult:
        """Show a thing, ``KIND/NAME``, to the other labs of the database, or no longer.

        Raises UnknownNameError for an unknown thing.

        >>> lab.shelf.share("recipe/warm neck").shared
        True
        """
        from stainbook.work.lab.book_changes import share

        return share(self._book, thing, shared=shared)

    def verify(self, *, rebuild: bool = False) -> VerifyResult:
        """Check every record and what was learnt from them; ``rebuild`` what searches run on first.

        Raises BookError where there is no book.

        >>> from stainbook import Lab
        >>> with Lab.open("new.db", author="bench-1") as new:
        ...     new.settings.keep_person("bench-1")
        ...     new.shelf.verify().ok
        True
        """
        from stainbook.work.lab.verify_book import verify

        book = self._lab.book_that_is_there()
        if rebuild:
            book.rebuild_index()
        return verify(book)

    def back_up(self, to: Path | None = None) -> BackupResult:
        """Copy the book while others may use it, and read the copy back.

        to : a file or folder; None: beside the book
        Raises InputError for a place that cannot be written, BookError where there is no book.

        >>> from pathlib import Path
        >>> lab.shelf.back_up(Path("copy.db")).path
        'copy.db'
        """
        from stainbook.work.lab.book_backup import back_up_book

        return back_up_book(self._lab.book_that_is_there(), to)

    def backup(self) -> bytes:
        """Give a copy of a book in a file, read back before it counts.

        >>> lab.shelf.backup()[:15]
        b'SQLite format 3'
        """
        from stainbook.work.lab.settings import backup

        return backup(self._book)
