"""Finding again: by target colour, nearest first, under conditions; by words; newest first where no colour is asked.

Exact: a box in L*, a*, b* that surely holds the ΔE00 ball narrows what is looked at, in cells that both
stores index; every colour in it is then compared by ΔE00 itself. The ball is grown until it holds enough.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from typing import Any

from sqlalchemy import Connection, Select, func, select

from stainbook.book.index import CELL, EVERYONE, cell, space, term
from stainbook.book.schema import colours, terms
from stainbook.book.wanted import Wanted
from stainbook.records import Lab

FEW = 5000  # records with a term, below which they are compared one by one
MOST_CELLS = 4096  # of a box; a larger one is read as a whole
SMALLEST = 0.5  # ΔE00, the first ball that is tried


def find(connection: Connection, wanted: Wanted, *, lab: str) -> list[tuple[int, float | None]]:
    """Row numbers, and ΔE00 where a colour is wanted: nearest first, else newest first.

    Where the lab has shared a thing it stands among its own once.
    """
    found: dict[int, float | None] = {}
    if _contradicts(wanted.conditions):
        return []
    for whose in (lab, EVERYONE):
        found |= dict(_find(connection, wanted, whose))
    if wanted.colour is None:
        return [(number, None) for number in sorted(found, reverse=True)[: wanted.limit]]
    order = sorted(found.items(), key=lambda pair: (pair[1], -pair[0]))
    return order[: wanted.limit]


_MANY = ("stain", "lot", "word", "consistency", "material")  # of which one record may have several


def _contradicts(conditions: Sequence[tuple[str, str]]) -> bool:
    """True where two values of one thing are asked for, of which a record has one."""
    single = {(what, value.casefold()) for what, value in conditions if what not in _MANY}
    return len({what for what, _ in single}) < len(single)


def _find(connection: Connection, wanted: Wanted, lab: str) -> Sequence[tuple[int, float | None]]:
    counted = [(_count(connection, number), number) for number in {term(lab, *one) for one in wanted.conditions}]
    if any(count == 0 for count, _ in counted):
        return []
    numbers = [number for _, number in sorted(counted)]  # the rarest first: the others are only probed
    where = space(lab, wanted.viewing)
    if wanted.colour is None:
        return [(row, None) for row in connection.execute(_having(numbers, wanted.limit)).scalars()]
    if counted and min(counted)[0] < FEW:
        rows = _colours_of(connection, numbers, where)
        return _compared(rows, wanted, wanted.radius)
    return _nearest(connection, wanted, numbers, where)


def _count(connection: Connection, number: int) -> float:
    """How many records have a term: counted up to ``FEW``, beyond as many as the newest of them let expect."""
    some = select(terms.c.record).where(terms.c.term == number).order_by(terms.c.record.desc()).limit(FEW).subquery()
    query = select(func.count(), func.min(some.c.record), func.max(some.c.record)).select_from(some)
    count, first, last = connection.execute(query).one()
    return float(count if count < FEW else FEW * last / (last - first + 1))


def _colours_of(connection: Connection, numbers: Sequence[int], where: int) -> list[Any]:
    """The colours of the records that have all the terms, of which few have the first."""
    found = _having(numbers, FEW).subquery()
    query = _COLOURS.add_columns(colours.c.space).where(colours.c.record.in_(select(found.c.record)))
    return [row[:-1] for row in connection.execute(query) if row.space == where]  # in SQL a store may scan the space


def _having(numbers: Sequence[int], limit: int) -> Select[Any]:
    """The newest records that have all the terms."""
    first, *others = (terms.alias(f"t{n}") for n in range(len(numbers)))
    query = select(first.c.record).where(first.c.term == numbers[0])
    for alias, number in zip(others, numbers[1:], strict=True):
        query = query.where(
            select(alias.c.record).where(alias.c.term == number, alias.c.record == first.c.record).exists()
        )
    return query.order_by(first.c.record.desc()).limit(limit)


_COLOURS = select(colours.c.record, colours.c.L, colours.c.a, colours.c.b)


def _nearest(
    connection: Connection, wanted: Wanted, numbers: Sequence[int], where: int
) -> Sequence[tuple[int, float | None]]:
    found: Sequence[tuple[int, float | None]] = []
    for radius in _growing(wanted.radius):
        query = _in_box(box(wanted.colour or (0.0, 0.0, 0.0), radius), where)
        for number in numbers:
            has = terms.alias()
            query = query.where(
                select(has.c.record).where(has.c.term == number, has.c.record == colours.c.record).exists()
            )
        found = _compared(connection.execute(query).all(), wanted, radius)
        if len(found) >= wanted.limit:
            break
    return found


def _growing(radius: float) -> Iterator[float]:
    """Balls to try, each twice the one before, the last one the whole."""
    doublings = max(math.ceil(math.log2(radius / SMALLEST)), 0)
    return (radius / 2**n for n in range(doublings, -1, -1))


def _in_box(sides: tuple[tuple[float, float], ...] | None, where: int) -> Select[Any]:
    query = _COLOURS.where(colours.c.space == where)
    if sides is None:
        return query
    for column, (low, high) in zip((colours.c.L, colours.c.a, colours.c.b), sides, strict=True):
        query = query.where(column.between(low, high))
    cells = _cells(sides)
    return query.where(colours.c.cell.in_(cells)) if cells else query


def _cells(sides: tuple[tuple[float, float], ...]) -> list[int]:
    """The cells of a box, none where they are too many."""
    steps = [range(math.floor(low / CELL), math.floor(high / CELL) + 1) for low, high in sides]
    if math.prod(map(len, steps)) > MOST_CELLS:
        return []
    return [cell(L * CELL, a * CELL, b * CELL) for L, a, b in itertools.product(*steps)]


def _compared(rows: Sequence[Any], wanted: Wanted, radius: float) -> Sequence[tuple[int, float | None]]:
    import numpy as np

    from stainbook.colour import delta_e_2000

    if not rows:
        return []
    table = np.array([tuple(row) for row in rows], dtype=np.float64)  # of rows themselves numpy is slow
    apart = delta_e_2000(table[:, 1:], np.array(wanted.colour))
    order = np.lexsort((-table[:, 0], apart))
    order = order[apart[order] <= radius][: wanted.limit]
    return [(int(table[i, 0]), float(apart[i])) for i in order]


# ---------------------------------------------------------------- a box that holds the ball


def box(colour: Lab, radius: float) -> tuple[tuple[float, float], ...] | None:
    """Low and high of L*, a*, b* (3, 2) of a box that holds all colours within ``radius`` ΔE00; None: no such box.

    With D² = ΔC'² + ΔH'² = (1 + G)² Δa² + Δb² (the law of cosines; G is one number for both colours, at least 0)
    and S_C, S_H ≤ 1 + 0.045 C̄' (T is at most 1.93, and 0.015 · 1.93 < 0.045):
    ΔE00² ≥ (ΔL'/S_L)² + (1 - |R_T|/2) D² / (1 + 0.045 C̄')², C̄' ≤ C' + D/2. So |Δa|, |Δb| ≤ D, and
    D ≤ q r (1 + 0.045 C') / (1 - 0.0225 q r) with q = (1 - |R_T|/2)^-1/2, where a' ≤ 1.5 a.
    S_L ≤ 1 + 0.015 |L̄ - 50| gives |ΔL| ≤ r (1 + 0.015 |L - 50|) / (1 - 0.0075 r).
    """
    L, a, b = colour
    chroma = math.hypot(1.5 * a, b)  # a' is at most 1.5 a
    reach = _reach(radius, chroma, math.sqrt(3.0))  # |R_T| ≤ 2 sin 60°
    if reach is None or 0.0075 * radius >= 1.0:
        return None
    reach = _reach(radius, chroma, _most_turn(colour, reach)) or reach
    up = radius * (1.0 + 0.015 * abs(L - 50.0)) / (1.0 - 0.0075 * radius)
    slack = 1e-9 * (1.0 + up + reach)  # of rounding
    return tuple((x - d - slack, x + d + slack) for x, d in ((L, up), (a, reach), (b, reach)))


def _reach(radius: float, chroma: float, turn: float) -> float | None:
    q = radius / math.sqrt(1.0 - 0.5 * turn)
    return q * (1.0 + 0.045 * chroma) / (1.0 - 0.0225 * q) if 0.0225 * q < 1.0 else None


def _most_turn(colour: Lab, reach: float) -> float:
    """A bound of |R_T| for colours not farther than ``reach``: small unless the hue may be near 275°."""
    _, a, b = colour
    least, most = math.hypot(a, b), math.hypot(1.5 * a, b) + 0.5 * reach
    strength = 2.0 * math.sqrt(most**7 / (most**7 + 25.0**7))
    if reach >= least:  # C' ≥ C: else every hue may be meant
        return strength * math.sqrt(3.0) / 2.0
    # the hue of (1 + G) a, b for G from 0 to 0.5, and how far the mean of two hues may lie from it
    hues = [math.degrees(math.atan2(b, f * a)) for f in (1.0, 1.5)]
    spread = math.degrees(math.asin(reach / least)) + abs((hues[0] - hues[1] + 180.0) % 360.0 - 180.0)
    away = min(abs((hue - 275.0 + 180.0) % 360.0 - 180.0) for hue in hues) - spread
    angle = 30.0 * math.exp(-((max(away, 0.0) / 25.0) ** 2))
    return strength * math.sin(math.radians(2.0 * angle))
