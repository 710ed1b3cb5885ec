"""Liquids on a ceramic that their discs were not of: what they take up there is less sure, and that is said."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from stainbook.book import Book
from stainbook.errors import some_of
from stainbook.language import say
from stainbook.optics.forecast import Hands
from stainbook.work.stains.mixed_chips import OTHER_SOAKING_SD, Discs


def on_ceramic(
    book: Book, hands: Hands, ceramics: Iterable[str | None], stains: Iterable[str]
) -> tuple[Hands, list[str]]:
    """Hands with the doubt of liquids whose discs were of another ceramic, and a line that names these.

    Parameters
    ----------
    ceramics : of what the liquids go into, None where it is not known
    stains : those that may be used
    """
    known = {name for name in ceramics if name}
    listed = book.stains()
    liquids = {name for name in stains if name in listed and listed[name].kind == "infiltrating"}
    if not known or not liquids:
        return hands, []
    usual = Discs.of(book.chips(), book.bodies(), liquids).usual
    odd = sorted(name for name in liquids if (of := usual.get((name, "ceramic"))) is not None and known - {of})
    if not odd:
        return hands, []
    lots = dict(hands.lots)
    for name in odd:
        lot, ln, doubt = lots.get(name, ("of the discs", 0.0, 0.0))
        lots[name] = (lot, ln, math.hypot(doubt, OTHER_SOAKING_SD))
    theirs = some_of(sorted({usual[name, "ceramic"] for name in odd}))
    line = say(
        "the discs of {liquids} are of ceramic {theirs}, this is {ceramic}: what it takes up may differ by "
        "{doubt:.0%}, which is in the doubt",
        liquids=some_of(odd),
        theirs=theirs,
        ceramic=some_of(sorted(known)),
        doubt=OTHER_SOAKING_SD,
    )
    return replace(hands, lots=lots), [line]
