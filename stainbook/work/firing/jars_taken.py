"""The jars that a firing was painted with."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from stainbook.book import Book
from stainbook.kept import Firing
from stainbook.records import Case, Layer
from stainbook.work.stains.jars_in_work import jars_in_work


def jars_taken(book: Book, case: Case, firing: Firing, stated: Iterable[tuple[str, str]]) -> dict[str, str]:
    """The jar of each stain: as the firing states it, else as the case does, unless that one had run out by then."""
    named = dict(case.lots)
    there = jars_in_work(book).instead_of(named, on=firing.fired_at) if named else {}
    return {**there, **dict(stated)}


def jars_of(layers: Sequence[Layer], lots: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    """The jars of the stains that were used: as the layers say, else of these."""
    used = {name for layer in layers for name in layer.pot.stains}
    told = {stain: lot for layer in layers for stain, lot in layer.lots}
    return tuple(sorted({**{stain: lot for stain, lot in lots.items() if stain in used}, **told}.items()))
