"""The mixes that the lab keeps ready: taken from a file, told; plans and advice try them first."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from stainbook.book import Book
from stainbook.errors import UnknownNameError
from stainbook.files import read_mixes
from stainbook.language import say
from stainbook.work.documents.day_schemas import MixesResult, MixShown


def load_mixes(book: Book, path: Path) -> MixesResult:
    """Let the mixes of a file stand ready, and no other.

    Raises FileError for one that cannot be used, UnknownNameError for a stain that the lab does not have.
    """
    found, known = read_mixes(path).records, sorted(book.stains())
    for mix in found:
        for name in mix.pot.stains:
            if name not in known:
                raise UnknownNameError(say("stain in {path}: {mix}:", path=path, mix=mix.mix), name, known)
    with book.transaction() as step:
        step.add_settings(replace(step.settings(), mixes=found))
    return shown(book)


def shown(book: Book) -> MixesResult:
    """The mixes that stand ready."""
    return MixesResult(
        mixes=[
            MixShown(
                mix=one.mix, pot=one.pot.as_dict(), made_on=one.made_on, by=one.by, lots=dict(one.lots),
                reading=one.reading, left=one.left,
            )
            for one in book.settings().mixes
        ]
    )  # fmt: skip
