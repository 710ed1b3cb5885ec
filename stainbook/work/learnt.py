"""The fit that the book keeps: put in, taken out, and whose hand and lots it means."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any

from stainbook import __version__
from stainbook.book import Book
from stainbook.book.shelves import Shelves
from stainbook.errors import BookError, InputError
from stainbook.match.learning import Factor
from stainbook.optics.curves import Optics
from stainbook.optics.document import from_document, to_document
from stainbook.optics.forecast import LOT_SD, OPERATOR_SD, Hands
from stainbook.records import Chip

Factors = Mapping[tuple[str, str, str | None], Factor]
SCOPE = "optics"
CHIPS_HAND = "the chips' hand"


def keep(shelves: Shelves, optics: Optics, lots: Mapping[str, str]) -> int:
    """Store a fit as a new revision; gives its number."""
    document, data = document_of(optics, lots)
    return shelves.add_fit(SCOPE, document, data=data)


def document_of(optics: Optics, lots: Mapping[str, str]) -> tuple[dict[str, Any], bytes]:
    """A fit as the book keeps it: plain values, and its arrays."""
    document, data = to_document(optics)
    return {**document, "lots": dict(lots), "version": __version__}, data


def learnt(book: Book) -> tuple[Optics, dict[str, str]]:
    """The newest fit of the book and the lot of each stain that it was made with.

    Raises InputError where nothing was calibrated yet, BookError for a fit this version cannot read.
    """
    fit = book.fit(SCOPE)
    if fit is None:
        raise InputError("the book holds no calibrated stains: run `stainbook calibrate CHIPS READINGS` first")
    try:
        return from_document(fit.document, fit.data or b""), dict(fit.document.get("lots", {}))
    except (ValueError, KeyError) as error:
        raise BookError(f"fit {fit.revision} of the book cannot be read: {error}; calibrate again") from error


def chips_operator(chips: Iterable[Chip]) -> str | None:
    """The hand that made most of the chips."""
    counted = Counter(chip.operator for chip in chips if chip.operator)
    return counted.most_common(1)[0][0] if counted else None


def chips_lots(chips: Iterable[Chip]) -> dict[str, str]:
    """The last lot named for each stain by its chips."""
    return {stain: lot for chip in chips for layer in chip.layers for stain, lot in layer.lots}


def hands_of(
    optics: Optics,
    chip_lots: Mapping[str, str],
    operator: str | None,
    lots: Mapping[str, str],
    *,
    programme: str | None = None,
    factors: Factors | None = None,
) -> Hands:
    """The hand and jars that a forecast means, with what is known of them and what is not.

    The chips' own operator, named, adds no doubt; nobody named means the chips' hand on average, since anyone
    of the lab may paint. A lot that is not the chips' may differ in strength. ``factors`` are what
    outcomes have taught of hands, lots and programmes.
    """
    factors = factors or {}
    own = operator is not None and operator == optics.operator
    hand = _known(factors, ("operator", operator or "", None), (0.0, 0.0 if own else OPERATOR_SD))
    oven = _known(factors, ("programme", programme or "", None), (0.0, 0.0))
    others = {
        stain: (lot, *_known(factors, ("lot", lot, stain), (0.0, LOT_SD)))
        for stain, lot in lots.items()
        if chip_lots.get(stain) != lot
    }
    return Hands(
        operator=operator or optics.operator or CHIPS_HAND,
        operator_ln=(hand[0] + oven[0], math.hypot(hand[1], oven[1])),
        lots=others,
    )


def _known(factors: Factors, key: tuple[str, str, str | None], expected: tuple[float, float]) -> tuple[float, float]:
    found = factors.get(key)
    return expected if found is None else (found.ln, found.sd)
