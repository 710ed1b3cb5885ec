"""The cases of a book as lists have them; nothing heavy is loaded for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from stainbook.book import Book
from stainbook.book.entries import ERASED_NAME


@dataclass(frozen=True, slots=True)
class CaseHead:
    """One case of a list: its code, the number of the newest row that tells of it, and whether it left the lab."""

    code: str
    newest: int
    out: bool


@dataclass(frozen=True, slots=True)
class CaseList:
    """The cases of a book, the one told of last first, and the random id of each, as addresses name it."""

    heads: tuple[CaseHead, ...] = ()
    ids: Mapping[str, str] = field(default_factory=dict)

    def newest(self, words: str = "", *, out: bool | None = None) -> list[str]:
        """Codes; ``words`` must stand in them, ``out``: of those that left the lab, or did not."""
        found = words.casefold()
        return [one.code for one in self.heads if out in (None, one.out) and found in one.code.casefold()]

    def offered(self, also: str | None = None) -> list[str]:
        """The codes of the cases in the lab, and ``also``; where none is in the lab, all codes."""
        return sorted(one.code for one in self.heads if not one.out or one.code == also) or sorted(self.newest())

    def of_id(self, found: str) -> str | None:
        """The code of the case of an id, None where the book has none."""
        return next((code for code, one in self.ids.items() if one == found), None)


def case_list(book: Book) -> CaseList:
    """The cases of a book, none that was erased."""
    found = [CaseHead(*one) for one in book.case_heads() if not one[0].startswith(ERASED_NAME)]
    return CaseList(tuple(sorted(found, key=lambda one: -one.newest)), book.case_ids())
