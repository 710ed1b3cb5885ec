"""``lab.exchange``: the book handed on and taken in, whole or by case; a case that is erased."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from stainbook.faces.lab_view import LabFace

if TYPE_CHECKING:
    from stainbook.work.documents.book_schemas import EraseResult, ExportResult, ImportItem, ImportResult
    from stainbook.work.lab.exchange import ImportChoices
    from stainbook.work.lab.exchange_desk import ImportChoice
    from stainbook.work.reading.dropped import Dropped


class ExchangeFace(LabFace):
    """What leaves the book and what comes in."""

    def export(self, path: Path, *, history: bool = True) -> ExportResult:
        """Write the book's content to a folder, a bundle or a workbook."""
        from stainbook.work.lab.exchange import export

        return export(self._book, path, history=history)

    def import_(self, path: Path, choices: ImportChoices | None = None, *, preview: bool = False) -> ImportResult:
        """Take in a folder, a bundle or a case file; the same twice changes nothing."""
        from stainbook.work.lab.exchange import import_

        return import_(self._book, path, choices, preview=preview)

    def packed_book(self, kind: str, *, history: bool = False) -> bytes:
        """The book's content as a bundle (``zip``) or a workbook (``xlsx``)."""
        from stainbook.work.lab.exchange_desk import packed_book

        return packed_book(self._book, kind, history=history)

    def packed_case(self, code: str) -> bytes:
        """All that the book holds of one case as a bundle."""
        from stainbook.work.lab.exchange_desk import packed_case

        return packed_case(self._book, code)

    def preview(self, dropped: Dropped) -> tuple[ImportItem, ...]:
        """What a bundle or case file holds, and what the book has of it."""
        from stainbook.work.lab.exchange_desk import preview

        return self._kept(("preview", dropped), lambda: tuple(preview(self._book, dropped)))

    def take_in(self, dropped: Dropped, choices: Iterable[ImportChoice]) -> ImportResult:
        """Take in what was chosen and leave the rest."""
        from stainbook.work.lab.exchange_desk import take_in

        return take_in(self._book, dropped, choices)

    def case_codes(self) -> tuple[str, ...]:
        """The codes of the book's cases, newest first."""
        from stainbook.work.lab.exchange_desk import case_codes

        return self._kept("case codes", lambda: tuple(case_codes(self._book)))

    def erase(
        self, code: str, *, why: str | None = None, sure: bool = False, folder: Path | None = None
    ) -> EraseResult:
        """Take what names a case out of the book, and its own files out of a folder."""
        from stainbook.work.lab.erase_case import erase_case

        return erase_case(self._book, code, why=(why or "").strip() or None, sure=sure, folder=folder)
