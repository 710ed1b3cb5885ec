"""Stripes of chosen stains on as few plates as possible: what to paint where, and in which order it is read."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from stainbook.errors import InputError, some_of
from stainbook.language import say
from stainbook.records import CLEAR, Chip, Layer, Pot

# What a stripe teaches most after those before it: colour, then strength, then how coats add, then how it covers.
PLAN: tuple[tuple[float, int], ...] = ((1 / 4, 1), (1.0, 1), (1 / 4, 2), (1 / 16, 1), (1 / 2, 1), (1.0, 2), (1 / 8, 2))
SOAKING_PLAN: tuple[tuple[float, int], ...] = ((1.0, 1), (1.0, 2), (1 / 4, 1), (1 / 2, 1), (1 / 4, 2))
STRIPES = 3  # of each stain, for a first day
ROOM = 8  # stripes on a plate of common size
THICK_CLEAR = ("clear-x2", Pot(), 2)
HAND = 5  # times that one stripe is painted to measure a hand
HAND_LAYER = (1 / 4, 1)
NEW_PLATE = re.compile(r"plate-(\d+)")  # how a plate is called that nobody named


@dataclass(frozen=True, slots=True)
class PlateOrder:
    """What a set of plates is to hold.

    ``plates`` names the blanks at hand, light and dark in turn; more are numbered after them.
    Raises InputError for what cannot be laid out.
    """

    stains: tuple[str, ...]
    plates: tuple[str, ...] = ()
    stripes: int = STRIPES
    room: int = ROOM
    hand: str | None = None  # the stain that one's own hand is measured with
    soaking: frozenset[str] = frozenset()
    operator: str | None = None
    programme: str | None = None
    material: str | None = None
    kinds: tuple[tuple[float, int], ...] = ()  # share and coats of each stain's stripes; () the most telling ones
    first: int = 1  # number of the first plate that nobody named

    def __post_init__(self) -> None:
        if not self.stains and self.hand is None:
            raise InputError(say("found no stain, expected one stain or more to lay out"))
        twice = [name for i, name in enumerate(self.stains) if name in self.stains[:i]]
        if twice or CLEAR in self.stains:
            raise InputError(
                say(
                    "found {stain!r}, expected each stain once; clear comes on every plate by itself",
                    stain=(twice or [CLEAR])[0],
                )
            )
        if not 1 <= self.stripes <= len(PLAN):
            raise InputError(
                say("found {stripes} stripes a stain, expected 1 to {most}", stripes=self.stripes, most=len(PLAN))
            )
        if not 2 <= self.room <= 40:
            raise InputError(say("found room for {room} stripes on a plate, expected 2 to 40", room=self.room))


def lay_out(wanted: PlateOrder) -> tuple[Chip, ...]:
    """Chips in reading order, plate by plate, clear glaze first, and once in two coats where a plate has room.

    As few plates as their room allows. With two plates or more a stain's stripes go to plates in turn, since light
    and dark grounds together tell what absorbs from what scatters.
    """
    painted = [*_hand(wanted), *_stripes(wanted)]
    count = math.ceil(len(painted) / (wanted.room - 1))
    count = max(count, min(len(wanted.plates), len(painted)) if wanted.plates else count)
    new = (f"plate-{wanted.first + i}" for i in range(len(wanted.plates), count))
    names = [*wanted.plates, *new][:count]
    if len(set(names)) < len(names):
        raise InputError(say("found the plates {names}, expected each plate once", names=some_of(names)))
    held: dict[str, list[tuple[str, Pot, int]]] = {name: [] for name in names}
    for i, stripe in enumerate(painted):
        held[_plate_for(i, stripe[0], names, held, wanted)].append(stripe)
    thick = _thick_clear(held, wanted)
    return tuple(
        _chip(f"{name}-{plate}", plate, pot, coats, wanted)
        for plate, stripes in held.items()
        for name, pot, coats in [("clear", Pot(), 1), *([THICK_CLEAR] if plate == thick else []), *stripes]
    )


def _thick_clear(held: dict[str, list[tuple[str, Pot, int]]], wanted: PlateOrder) -> str | None:
    """The plate with most room for clear glaze of two coats: what more of it does; None where no plate has room.

    Liquids take no glaze.
    """
    if wanted.soaking.issuperset(wanted.stains) and wanted.hand is None:
        return None
    emptiest = min(held, key=lambda name: len(held[name]), default=None)
    return emptiest if emptiest is not None and len(held[emptiest]) + 2 <= wanted.room else None


def _plate_for(
    i: int, stripe: str, names: Sequence[str], held: dict[str, list[tuple[str, Pot, int]]], wanted: PlateOrder
) -> str:
    """The next plate with room; stripes that measure a hand stay together on the first."""
    free = [name for name in names if len(held[name]) < wanted.room - 1]
    if "-hand-" in stripe:
        return free[0]
    return min(free, key=lambda name: (len(held[name]), (names.index(name) - i) % len(names)))


def _hand(wanted: PlateOrder) -> list[tuple[str, Pot, int]]:
    if wanted.hand is None:
        return []
    if wanted.room <= HAND:
        raise InputError(
            say(
                "found room for {room} stripes, expected {least} or more: a hand is measured on one plate",
                room=wanted.room,
                least=HAND + 1,
            )
        )
    share, coats = HAND_LAYER
    return [(f"{wanted.hand}-hand-{i + 1}", Pot.of({wanted.hand: share}), coats) for i in range(HAND)]


def _stripes(wanted: PlateOrder) -> list[tuple[str, Pot, int]]:
    found = []
    for stain in wanted.stains:
        plan = (SOAKING_PLAN if stain in wanted.soaking else PLAN)[: wanted.stripes]
        for share, coats in wanted.kinds or plan:
            found.append((f"{stain}-{share_word(share)}-x{coats}", Pot.of({stain: share}), coats))
    return found


def _chip(name: str, plate: str, pot: Pot, coats: int, wanted: PlateOrder) -> Chip:
    return Chip(
        chip=name,
        body=plate,
        layers=(Layer(pot, coats),),
        operator=wanted.operator,
        programme=wanted.programme,
        material=wanted.material,
    )


def share_word(share: float) -> str:
    """A share as a name holds it: 1, 1of4."""
    exact = Fraction(share).limit_denominator(64)
    return f"{exact.numerator}of{exact.denominator}" if exact.denominator > 1 else str(exact.numerator)
