"""One colour as it is typed into a field."""

from __future__ import annotations

import math
import re
from typing import NamedTuple

from stainbook.book import Book
from stainbook.errors import FileError, InputError
from stainbook.files import read_pasted
from stainbook.language import say
from stainbook.records import Reading, Viewing
from stainbook.work.reading.viewing_conditions import Asked

_NUMBER = re.compile(r"[-+\N{MINUS SIGN}]?\d+(?:[.,]\d+)?")
_LOOKED_AT = 400  # rows of the journal, the newest


class Light(NamedTuple):
    """Under which light and observer typed numbers hold; ``instrument`` names one that was set up."""

    illuminant: str | None = None
    observer: int | None = None
    instrument: str | None = None


def asked_under(book: Book, light: Light) -> Asked:
    """The light of typed numbers, with the profiles of the lab's instruments."""
    return Asked(light.illuminant, light.observer, instrument=light.instrument, instruments=book.instruments())


def light_of_last(book: Book) -> Viewing | None:
    """Under which light and observer L*, a*, b* were typed last; None where none of the newest rows is such a reading.

    What a lab said once on one screen holds on its other screens: an instrument shows its numbers under one light.
    """
    rows = book.stored_since(max(0, book.newest_row() - _LOOKED_AT), _LOOKED_AT)
    names = list(dict.fromkeys(name for kind, name in reversed(rows) if kind == "reading"))
    read = book.readings_of(names)
    for name in names:
        newest = book.newest_of(read.get(name, ()))
        if newest is not None and newest.lab is not None and not newest.is_photo:
            known = newest.viewing is not None and newest.viewing.known
            return newest.viewing if known else None
    return None


def numbers_of(text: str) -> tuple[str, ...]:
    """The numbers in a text, as they stand there.

    >>> numbers_of("72,4  1.2 -0,3")
    ('72,4', '1.2', '-0,3')
    """
    return tuple(_NUMBER.findall(text))


def typed_colour(text: str, asked: Asked, what: str) -> Reading:
    """L*, a*, b* from a field; decimal commas will do. ``what`` names it, as its reading and in messages.

    Raises InputError for anything else.
    """
    three = numbers_of(text)  # decimal comma and point may stand side by side
    plain = " ".join(one.replace(",", ".") for one in three) if len(three) == 3 else text
    try:
        (found,) = read_pasted(plain, order=(what,), defaults=asked.defaults, source=what).all
    except FileError as error:
        raise InputError(
            say(
                "{what}: found {found}, expected L*, a*, b*, such as 72,4 1,2 15,0",
                what=what,
                found=text.strip() or say("nothing"),
            )
        ) from error
    if found.lab is None:
        raise InputError(say("{what}: found a spectrum, expected L*, a*, b*", what=what))
    return found


def _number(least: float | None, most: float | None) -> str:
    if least is not None and most is not None:
        return say("a number from {least:g} to {most:g}, such as 12,5", least=least, most=most)
    if least is not None:
        return say("a number from {least:g}, such as 12,5", least=least)
    if most is not None:
        return say("a number to {most:g}, such as 12,5", most=most)
    return say("a number, such as 12,5")


def typed_number(text: str, what: str, *, least: float | None = None, most: float | None = None) -> float:
    """A number from a field; a decimal comma will do. Raises InputError for anything else, and out of the limits."""
    try:
        found = float(text.strip().replace(",", ".").replace("\N{MINUS SIGN}", "-"))
    except ValueError as error:
        raise InputError(
            say(
                "{what}: found {found}, expected {expected}",
                what=what,
                found=text.strip() or say("nothing"),
                expected=_number(least, most),
            )
        ) from error
    inside = (least is None or found >= least) and (most is None or found <= most)
    if not (math.isfinite(found) and inside):
        raise InputError(
            say(
                "{what}: found {found}, expected {expected}",
                what=what,
                found=text.strip(),
                expected=_number(least, most),
            )
        )
    return found
