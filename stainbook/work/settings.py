"""What the lab sets up once, for a page: its instruments and its people, and where its book is."""

from __future__ import annotations

from dataclasses import dataclass

from stainbook.book import open_book
from stainbook.errors import InputError
from stainbook.kept import Operator
from stainbook.work.day_schemas import InstrumentShown
from stainbook.work.instruments import Stated, set_up, shown


@dataclass(frozen=True, slots=True)
class LabSettings:
    """Instruments and people by name, and how many records of each kind the book holds."""

    instruments: tuple[InstrumentShown, ...]
    people: tuple[str, ...]
    counts: tuple[tuple[str, int], ...]


def settings_of(url: str | None) -> LabSettings:
    """What is set up."""
    with open_book(url) as book:
        return LabSettings(tuple(shown(book).instruments), tuple(book.operators()), tuple(book.counts().items()))


def keep_instrument(url: str | None, name: str, stated: Stated) -> None:
    """Set an instrument up; raises InputError for what is stated wrongly, and an empty name."""
    if not name.strip():
        raise InputError("found no name, expected the one that the instrument's readings carry, such as hand")
    with open_book(url) as book:
        set_up(book, name.strip(), stated)


def keep_person(url: str | None, name: str) -> None:
    """Enter someone whose hand lays stain on; raises InputError for an empty name."""
    if not name.strip():
        raise InputError("found no name, expected the one used at the bench, such as bench-1")
    with open_book(url) as book:
        book.add_operators([Operator(name.strip())])
