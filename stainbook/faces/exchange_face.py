"""``lab.exchange``: the book handed on and taken in, whole or by case; a case that is erased."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from stainbook.faces.lab_view import LabFace
from stainbook.work.documents.book_schemas import EraseResult, ExportResult, ImportItem, ImportResult
from stainbook.work.lab.erase_case import erase_case
from stainbook.work.lab.exchange import ImportChoices, export, import_
from stainbook.work.lab.exchange_desk import ImportChoice, packed_book, packed_case, preview, take_in
from stainbook.work.reading.dropped import Dropped


class ExchangeFace(LabFace):
    """What leaves the book and what comes in."""

    def export(self, path: Path, *, history: bool = True) -> ExportResult:
        """Write the book's content to a folder, a bundle or a workbook."""
        return export(self._book, path, history=history)

    def import_(self, path: Path, choices: ImportChoices | None = None, *, preview: bool = False) -> ImportResult:
        """Take in a folder, a bundle or a case file; the same twice changes nothing."""
        return import_(self._book, path, choices, preview=preview)

    def packed_book(self, kind: str, *, history: bool = False) -> bytes:
        """The book's content as a bundle (``zip``) or a workbook (``xlsx``)."""
        return packed_book(self._book, kind, history=history)

    def packed_case(self, code: str) -> bytes:
        """All that the book holds of one case as a bundle."""
        return packed_case(self._book, code)

    def preview(self, dropped: Dropped) -> tuple[ImportItem, ...]:
        """What a bundle or case file holds, and what the book has of it."""
        return self._kept(("preview", dropped), lambda: tuple(preview(self._book, dropped)))

    def take_in(self, dropped: Dropped, choices: Iterable[ImportChoice]) -> ImportResult:
        """Take in what was chosen and leave the rest."""
        return take_in(self._book, dropped, choices)

    def erase(
        self, code: str, *, why: str | None = None, sure: bool = False, folder: Path | None = None
    ) -> EraseResult:
        """Take what names a case out of the book, and its own files out of a folder."""
        return erase_case(self._book, code, why=(why or "").strip() or None, sure=sure, folder=folder)
