"""The three numbers of a display, each typed into a field of its own, looked at row by row before they are stored."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from stainbook.book import Book
from stainbook.errors import InputError, message
from stainbook.language import joined, say
from stainbook.records import LIGHTEST, MOST_CHROMATIC, UNKNOWN_VIEWING, Reading
from stainbook.work.documents.document_parts import ColourResult
from stainbook.work.reading.typed_colour import Light, asked_under, typed_colour, typed_number
from stainbook.work.reading.viewing_conditions import Asked, viewing_of

Three = tuple[str, str, str]
NOTHING: Three = ("", "", "")
AXES = (("L*", 0.0, LIGHTEST), ("a*", -MOST_CHROMATIC, MOST_CHROMATIC), ("b*", -MOST_CHROMATIC, MOST_CHROMATIC))


@dataclass(frozen=True, slots=True)
class ThreeRead:
    """Rows as they were understood: the colours of those that are whole, and why others cannot be used, by name.

    A row of which nothing was typed is in neither.
    """

    colours: Mapping[str, ColourResult]
    wrong: Mapping[str, str]


def three_read(book: Book, typed: Mapping[str, Three], light: Light) -> ThreeRead:
    """Look at rows of three numbers; raises InputError for an instrument that is not known."""
    asked = asked_under(book, light)
    colours, wrong = {}, {}
    for name, three in typed.items():
        if not is_typed(three):
            continue
        try:
            colours[name] = _shown(reading_of_three(three, asked, name))
        except InputError as error:
            wrong[name] = message(error)
    return ThreeRead(colours, wrong)


def is_typed(three: Three) -> bool:
    """Whether anything stands in a row."""
    return any(one.strip() for one in three)


def reading_of_three(three: Three, asked: Asked, what: str) -> Reading:
    """One row as a reading that is called ``what``; decimal commas will do.

    Raises InputError for a row of fewer numbers, and a number that no colour has.
    """
    missing = [name for text, (name, _, _) in zip(three, AXES, strict=True) if not text.strip()]
    if missing:
        raise InputError(say("{numbers} missing, expected all three", numbers=joined(missing)))
    numbers = [_number(text, *axis) for text, axis in zip(three, AXES, strict=True)]
    return typed_colour(" ".join(f"{one:.6g}" for one in numbers), asked, what)


def _number(text: str, name: str, least: float, most: float) -> float:
    found = typed_number(text, name)
    if least <= found <= most:
        return found
    if least <= found / 10.0 <= most:
        raise InputError(
            say(
                "{name}: found {found:g}, expected {least:g} to {most:g}; did you mean {near:g}?",
                name=name, found=found, least=least, most=most, near=found / 10.0,
            )
        )  # fmt: skip
    raise InputError(
        say("{name}: found {found:g}, expected {least:g} to {most:g}", name=name, found=found, least=least, most=most)
    )


def _shown(reading: Reading) -> ColourResult:
    viewing = viewing_of(reading) or UNKNOWN_VIEWING
    L, a, b = reading.lab or (0.0, 0.0, 0.0)
    return ColourResult(L=L, a=a, b=b, illuminant=viewing.illuminant, observer=viewing.observer or None)
