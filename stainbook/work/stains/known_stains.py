"""The stains that a lab knows: those that it lists, and those of its stripes."""

from __future__ import annotations

from collections.abc import Iterable

from stainbook.book import Book
from stainbook.errors import UnknownNameError
from stainbook.language import say
from stainbook.records import CLEAR, Layer


def known_stains(book: Book) -> set[str]:
    """The names of the stains that the lab lists or has stripes of, clear glaze too."""
    of_stripes = {name for chip in book.chips() for layer in chip.layers for name in layer.pot.stains}
    return {CLEAR, *book.stains(), *of_stripes}


def unknown_stains(book: Book, layers: Iterable[Layer]) -> list[str]:
    """The stains of some layers that the lab does not know, by name."""
    used = {name for layer in layers for name in layer.pot.stains}
    return sorted(used - known_stains(book)) if used else []


def check_known(book: Book, layers: Iterable[Layer]) -> None:
    """Raise UnknownNameError, which tells the nearest known names, for a stain that the lab does not know."""
    for name in unknown_stains(book, layers):
        raise UnknownNameError(say("stain"), name, known_stains(book))


def liquids_for(book: Book, material: str | None) -> list[str]:
    """The liquids of the lab that a material may take."""
    return [
        one.name
        for one in book.stains().values()
        if one.kind == "infiltrating" and not (one.materials and material and material not in one.materials)
    ]
