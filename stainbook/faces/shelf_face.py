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
        """How many things of each kind the book holds, or the things of one kind."""
        from stainbook.work.lab.things import list_things

        return list_things(self._book, kind)

    def show(self, name: str, kind: str | None = None) -> ShowResult:
        """A thing as it holds now; of a recipe also how it did."""
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
        """What was done last time: by colour (L,a,b; nearest first), words and conditions (newest first)."""
        from stainbook.work.lab.things import search_things, wanted_of

        wanted = wanted_of(colour, radius, words, conditions, illuminant=illuminant, observer=observer, limit=limit)
        return search_things(self._book, wanted)

    def history(self, name: str, kind: str | None = None, *, between: str | None = None) -> HistoryResult:
        """All revisions of a thing and what changed in each; ``between``: two of them, as M,N."""
        from stainbook.work.lab.things import history, pair_of

        return history(self._book, name, kind, between=pair_of(between))

    def withdraw(self, thing: str, *, why: str, by: Path | None = None) -> WithdrawResult:
        """Take back a reading, an outcome, or a firing with its outcomes."""
        from stainbook.work.lab.book_changes import withdraw

        return withdraw(self._book, thing, why=why, by=by)

    def share(self, thing: str, *, shared: bool = True) -> ShareResult:
        """Show a thing to the other labs of the database, or no longer."""
        from stainbook.work.lab.book_changes import share

        return share(self._book, thing, shared=shared)

    def verify(self, *, rebuild: bool = False) -> VerifyResult:
        """Check every record and what was learnt from them; ``rebuild`` what searches run on first."""
        from stainbook.work.lab.verify_book import verify

        if rebuild:
            self._book.rebuild_index()
        return verify(self._book)

    def back_up(self, to: Path | None = None) -> BackupResult:
        """Copy the book while others may use it, and read the copy back."""
        from stainbook.work.lab.book_backup import back_up_book

        return back_up_book(self._book, to)

    def backup(self) -> bytes:
        """A copy of a book in a file, read back before it counts."""
        from stainbook.work.lab.settings import backup

        return backup(self._book)
