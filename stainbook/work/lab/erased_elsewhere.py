"""Cases that were erased on one side of an exchange: by their marks, since their codes are gone."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from stainbook.book import Book
from stainbook.book.mention import Mention
from stainbook.work.lab.folder import ExchangeContent

Key = tuple[str, str]  # kind and name of a thing


def erased_there(book: Book, content: ExchangeContent) -> list[str]:
    """The codes of the book's cases that were erased where the content comes from."""
    return [code for mark in content.erased if (code := book.code_of(mark)) is not None]


def erased_here(
    book: Book, content: ExchangeContent, statuses: Mapping[Key, str], taken: Collection[Key]
) -> dict[Key, str]:
    """The statuses of things, with what is of a case that was erased from this book told apart.

    taken : what is wanted all the same; with a case all that is of it
    """
    gone = set(book.erased_marks())
    codes = [one.case for one in content.cases]
    left = [one.case for one in content.cases if one.mark in gone and ("case", one.case) not in taken]
    mentions = [Mention(code, "", codes) for code in left]
    return {
        key: "erased here" if status == "new" and any(one.is_in(key[1]) for one in mentions) else status
        for key, status in statuses.items()
    }
