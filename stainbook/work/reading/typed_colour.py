"""One colour as it is typed into a field."""

from __future__ import annotations

import math
from typing import NamedTuple

from stainbook.book import Book
from stainbook.errors import FileError, InputError
from stainbook.files import read_pasted
from stainbook.records import Reading
from stainbook.work.reading.viewing_conditions import Asked


class Light(NamedTuple):
    """Under which light and observer typed numbers hold; ``instrument`` names one that was set up."""

    illuminant: str | None = None
    observer: int | None = None
    instrument: str | None = None


def asked_under(book: Book, light: Light) -> Asked:
    """The light of typed numbers, with the profiles of the lab's instruments."""
    return Asked(light.illuminant, light.observer, instrument=light.instrument, instruments=book.instruments())


def typed_colour(text: str, asked: Asked, what: str) -> Reading:
    """L*, a*, b* from a field; decimal commas will do. ``what`` names it, as its reading and in messages.

    Raises InputError for anything else.
    """
    try:
        (found,) = read_pasted(text, order=(what,), defaults=asked.defaults, source=what).all
    except FileError as error:
        found_text = text.strip() or "nothing"
        raise InputError(f"{what}: found {found_text}, expected L*, a*, b*, such as 72,4 1,2 15,0") from error
    if found.lab is None:
        raise InputError(f"{what}: found a spectrum, expected L*, a*, b*")
    return found


def typed_number(text: str, what: str, *, least: float | None = None, most: float | None = None) -> float:
    """A number from a field; a decimal comma will do. Raises InputError for anything else, and out of the limits."""
    low = f" from {least:g}" if least is not None else ""
    expected = f"a number{low}{f' to {most:g}' if most is not None else ''}, such as 12,5"
    try:
        found = float(text.strip().replace(",", ".").replace("\N{MINUS SIGN}", "-"))
    except ValueError as error:
        raise InputError(f"{what}: found {text.strip() or 'nothing'}, expected {expected}") from error
    inside = (least is None or found >= least) and (most is None or found <= most)
    if not (math.isfinite(found) and inside):
        raise InputError(f"{what}: found {text.strip()}, expected {expected}")
    return found
