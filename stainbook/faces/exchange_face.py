"""``lab.exchange``: the book handed on and taken in, whole or by case; a case that is erased."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, TypeVar

from stainbook.faces.lab_view import LabFace
from stainbook.match import UNWATCHED, Watch
from stainbook.work.app.jobs import Job
from stainbook.work.documents.book_schemas import EraseResult, ExportResult, ImportItem, ImportResult
from stainbook.work.lab.erase_case import erase_case
from stainbook.work.lab.exchange import ImportChoices, export, import_
from stainbook.work.lab.exchange_desk import ImportChoice, packed_book, packed_case, preview, take_in
from stainbook.work.reading.dropped import Dropped

T = TypeVar("T")


class ExchangeFace(LabFace):
    """What leaves the book and what comes in."""

    def export(self, path: Path, *, history: bool = True) -> ExportResult:
        """Write the book's content to a folder, a bundle (``.zip``) or a workbook (``.xlsx``).

        history : with all revisions, by whom and when
        Raises InputError for a place that cannot be written.

        >>> from pathlib import Path
        >>> written = lab.exchange.export(Path("all.zip"))
        >>> written.counts["recipes"], written.history > 400
        (7, True)
        """
        return export(self._book, path, history=history)

    def import_(self, path: Path, choices: ImportChoices | None = None, *, preview: bool = False) -> ImportResult:
        """Take in a folder, a bundle or a case file; the same twice changes nothing.

        preview : only say what it holds
        Raises FileError for files that cannot be used, InputError for choices that name nothing.

        >>> from pathlib import Path
        >>> from stainbook.faces.exchange_types import ImportChoices
        >>> found = lab.exchange.import_(Path("recipes/finished"), preview=True)
        >>> found.stored, {one.kind for one in found.items if one.status == "same"} >= {"recipe", "operator"}
        (False, True)
        """
        return import_(self._book, path, choices, preview=preview)

    def packed_book(self, kind: str, *, history: bool = False) -> bytes:
        """Give the book's content as a bundle (``zip``) or a workbook (``xlsx``); raises as `export`.

        >>> lab.exchange.packed_book("zip")[:2]
        b'PK'
        """
        return packed_book(self._book, kind, history=history)

    def packed_case(self, code: str) -> bytes:
        """Give all that the book holds of one case as a bundle; raises UnknownNameError for an unknown case.

        >>> lab.exchange.packed_case("W-0971")[:2]
        b'PK'
        """
        return packed_case(self._book, code)

    def begin(self, step: Callable[..., T], *given: Any) -> Job[T]:
        """Begin `preview` or `take_in` in a thread of its own.

        >>> from stainbook.faces.reading_types import Dropped
        >>> bundle = Dropped("case.zip", lab.exchange.packed_case("W-0971"))
        >>> job = lab.exchange.begin(lab.exchange.preview, bundle)
        >>> {one.status for one in job.result()}
        {'same'}
        """
        return Job(lambda watch: step(*given, watch=watch))

    def preview(self, dropped: Dropped, *, watch: Watch = UNWATCHED) -> tuple[ImportItem, ...]:
        """Give what a bundle or case file holds, and what the book has of it.

        Raises FileError for what is neither, StoppedError when ``watch`` is to stop.

        >>> from stainbook.faces.reading_types import Dropped
        >>> bundle = Dropped("case.zip", lab.exchange.packed_case("W-0971"))
        >>> {one.status for one in lab.exchange.preview(bundle)}
        {'same'}
        """
        return tuple(preview(self._book, dropped, watch=watch))

    def take_in(self, dropped: Dropped, choices: Iterable[ImportChoice], *, watch: Watch = UNWATCHED) -> ImportResult:
        """Take in the chosen things of a bundle or case file and skip the rest; raises as `preview`.

        Once it is stored it is no longer stopped.

        >>> from stainbook.faces.exchange_types import ImportChoice
        >>> from stainbook.faces.reading_types import Dropped
        >>> bundle = Dropped("case.zip", lab.exchange.packed_case("W-0971"))
        >>> with type(lab).open("other.db", author="bench-1") as other:
        ...     other.exchange.take_in(bundle, [ImportChoice("case", "W-0971", "take")]).stored
        True
        """
        return take_in(self._book, dropped, choices, watch=watch)

    def erase(
        self, code: str, *, why: str | None = None, sure: bool = False, folder: Path | None = None
    ) -> EraseResult:
        """Take what names a case out of the book, and its own files out of a folder.

        why : the reason, stored with the tombstone; sure : it is done only when true
        Raises InputError where it is not sure, UnknownNameError for an unknown case.

        >>> lab.exchange.erase("W-0964", why="asked by the patient", sure=True).records > 10
        True
        """
        return erase_case(self._book, code, why=(why or "").strip() or None, sure=sure, folder=folder)
