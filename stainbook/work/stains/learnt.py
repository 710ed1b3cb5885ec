"""The fit that the book keeps: put in, taken out, and whose hand and lots it means."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

from stainbook import __version__
from stainbook.book import Book
from stainbook.book.shelves import Shelves
from stainbook.errors import BookError, UncalibratedError, message
from stainbook.language import say
from stainbook.match.factors import BETWEEN_HANDS_SD, NOBODY, Factor, NewHand, Scatter
from stainbook.optics.curves import Optics
from stainbook.optics.document import from_document, to_document
from stainbook.optics.forecast import FIRING_SD, LOT_SD, OPERATOR_SD, Hands
from stainbook.records import Chip
from stainbook.work.reading.reading_conditions import CHIPS_FIT, ReadWith

Factors = Mapping[tuple[str, str, str | None], Factor]
SCOPE = CHIPS_FIT
RULES = 4  # of fitting: what was fitted by other ones does not follow from the chips by these
CHIPS_HAND = "the chips' hand"  # as causes of doubt name it; `explain` has words for it
COMPUTED = say("stains that absorb and scatter")  # what can be computed, and why an effect cannot
BY_EYE = say("what shines like metal or pearl has no colour of one angle: it is listed and drawn by eye")


def keep(shelves: Shelves, optics: Optics, lots: Mapping[str, str], read_with: ReadWith) -> int:
    """Store a fit as a new revision; gives its number."""
    document, data = document_of(optics, lots, read_with)
    return shelves.add_fit(SCOPE, document, data=data)


def document_of(optics: Optics, lots: Mapping[str, str], read_with: ReadWith) -> tuple[dict[str, Any], bytes]:
    """A fit as the book keeps it: plain values, and its arrays; ``read_with`` is how the chips were read."""
    document, data = to_document(optics)
    own = {"lots": dict(lots), "read_with": asdict(read_with), "rules": RULES, "version": __version__}
    return {**document, **own}, data


def learnt(book: Book) -> tuple[Optics, dict[str, str]]:
    """The newest fit of the book and the lot of each stain that it was made with.

    Raises UncalibratedError where nothing was calibrated yet, BookError for a fit this version cannot read.
    """
    fit = book.fit(SCOPE)
    if fit is None:
        raise UncalibratedError(
            say("the book holds no calibrated stains: run `stainbook calibrate CHIPS READINGS` first")
        )
    try:
        return from_document(fit.document, fit.data or b""), dict(fit.document.get("lots", {}))
    except (ValueError, KeyError) as error:
        raise BookError(
            say(
                "fit {revision} of the book cannot be read: {error}; calibrate again",
                revision=fit.revision,
                error=message(error),
            )
        ) from error


def chips_operator(chips: Iterable[Chip]) -> str | None:
    """The hand that made most of the chips."""
    counted = Counter(chip.operator for chip in chips if chip.operator)
    return counted.most_common(1)[0][0] if counted else None


def chips_lots(chips: Iterable[Chip]) -> dict[str, str]:
    """The last lot named for each stain by its chips."""
    return {stain: lot for chip in chips for layer in chip.layers for stain, lot in layer.lots}


@dataclass(frozen=True, slots=True, eq=False)
class Known:
    """What outcomes have taught beside the stains' curves, and the newest jar of each stain."""

    factors: Factors = field(default_factory=dict)
    newest_lots: Mapping[str, str] = field(default_factory=dict)
    scatters: Mapping[str, Scatter] = field(default_factory=dict)
    new_hand: NewHand = field(default_factory=NewHand)
    firing: float = FIRING_SD
    older: int = 0  # outcomes that are not learnt from any longer


def hands_of(
    optics: Optics,
    chip_lots: Mapping[str, str],
    operator: str | None,
    lots: Mapping[str, str],
    *,
    programme: str | None = None,
    known: Known | None = None,
) -> Hands:
    """The hand and jars that a forecast means, with what is known of them and what is not.

    The chips' own operator, named, adds no doubt; nobody named means the chips' hand on average, since anyone
    of the lab may paint. A hand that has no outcome is one of the lab's; a lot that has none is like the one
    before it, with the doubt that a lot has. ``known`` is what outcomes have taught of all of these.
    """
    known = known or Known()
    own = operator is not None and operator == optics.operator
    hand = _hand(known, operator, own)
    oven = known.factors.get(("programme", programme or "", None))
    learnt_of = known.scatters.get(operator or NOBODY)
    new = None if own or operator is None else known.new_hand.scatter
    jars = {stain: (lot, _lot(known, stain, lot)) for stain, lot in lots.items() if chip_lots.get(stain) != lot}
    return Hands(
        operator=operator or optics.operator or CHIPS_HAND,
        operator_ln=(hand.ln + oven.ln, math.hypot(hand.own_sd, oven.own_sd)) if oven else (hand.ln, hand.own_sd),
        lots={stain: (lot, jar.ln, jar.own_sd) for stain, (lot, jar) in jars.items()},
        scatter=learnt_of.expected if learnt_of else new,
        firing=known.firing,
        shared=_added(hand.shared, oven.shared if oven else ()),
        lots_shared={stain: jar.shared for stain, (_, jar) in jars.items() if jar.shared},
    )


@dataclass(frozen=True, slots=True)
class _Meant:
    """ln of the factor of a hand or jar, the doubt that is its own, and that which it has in common with others."""

    ln: float
    own_sd: float
    shared: tuple[float, ...] = ()


def _added(one: tuple[float, ...], other: tuple[float, ...]) -> tuple[float, ...]:
    return tuple(a + b for a, b in zip(one, other, strict=True)) if one and other else one or other


def _hand(known: Known, operator: str | None, own: bool) -> _Meant:
    found = known.factors.get(("operator", operator or NOBODY, None))
    if found is not None:  # who is not named may be another one next time
        return _Meant(found.ln, math.hypot(found.own_sd, 0.0 if operator else BETWEEN_HANDS_SD), found.shared)
    if own or operator is None:
        return _Meant(0.0, 0.0 if own else OPERATOR_SD)
    return _Meant(known.new_hand.ln, known.new_hand.own_sd, known.new_hand.shared)


def _lot(known: Known, stain: str, lot: str) -> _Meant:
    found = known.factors.get(("lot", lot, stain))
    if found is not None:
        return _Meant(found.ln, found.own_sd, found.shared)
    before = known.factors.get(("lot", known.newest_lots.get(stain, ""), stain))
    return _Meant(before.ln, math.hypot(before.own_sd, LOT_SD), before.shared) if before else _Meant(0.0, LOT_SD)
