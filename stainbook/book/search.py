"""Finding again: by target colour, nearest first, under conditions; by words; newest first where no colour is asked.

Exact: the rows that have each term come as sets, which are met; a box in L*, a*, b* that surely holds the ΔE00
ball narrows what is looked at, in cells that both stores index; every colour of the set in it is then compared by
ΔE00 itself. The ball is grown until it holds enough.
"""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from sqlalchemy import Connection, select, text

from stainbook.book.book_tables import terms
from stainbook.book.index import CELL, EVERYONE, cell, space, term
from stainbook.book.packed import DAMAGED, newest, whole
from stainbook.book.wanted import BookQuery
from stainbook.errors import BookError
from stainbook.records import LabValues

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

MOST_ROWS = 1200  # of cells of a box; beyond, all colours are read
QUERIES = 400  # put together in one: SQLite takes 500
Sides = tuple[tuple[float, float], ...]  # low and high of L*, a*, b*
SMALLEST = 0.5  # ΔE00, the first ball that is tried


def find(connection: Connection, wanted: BookQuery, *, lab: str) -> list[tuple[int, float | None]]:
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


def _find(connection: Connection, wanted: BookQuery, lab: str) -> Sequence[tuple[int, float | None]]:
    asked = {term(lab, *one) for one in wanted.conditions}
    meeting = functools.reduce(int.__and__, (_having(connection, one) for one in asked)) if asked else None
    if meeting == 0:
        return []
    if wanted.colour is None:
        return [(number, None) for number in newest(meeting or 0, wanted.limit)]
    return _nearest(connection, wanted, meeting, space(lab, wanted.viewing))


def _having(connection: Connection, number: int) -> int:
    """The set of rows that have a term."""
    query = select(terms.c.piece, terms.c.packed).where(terms.c.term == number)
    return whole({row.piece: row.packed for row in connection.execute(query)})


def _nearest(
    connection: Connection, wanted: BookQuery, meeting: int | None, where: int
) -> Sequence[tuple[int, float | None]]:
    """The nearest rows of a set, None: of all."""
    import numpy as np

    found: Sequence[tuple[int, float | None]] = []
    table = np.empty((0, 4))
    known: Sides | None = None
    for radius in _growing(wanted.radius):
        sides = box(wanted.colour or (0.0, 0.0, 0.0), radius)
        rows = _rows_of_cells(sides, known) if sides is not None else None
        if rows is None:  # too many: all of them
            table = _table(_packed(connection, [f"{_OF} {where}"]), meeting)
        else:
            ranges = [f"{_OF} {where} AND cell BETWEEN {low} AND {high}" for low, high in rows]
            table = np.concatenate([table, _table(_packed(connection, ranges), meeting)])
        known = sides
        found = _compared(table, wanted, radius)
        if len(found) >= wanted.limit:
            break
    return found


_OF = "SELECT packed FROM colours WHERE space ="


def _packed(connection: Connection, queries: Sequence[str]) -> list[bytes]:
    """What is packed where some queries say, many in one.

    They are written out, since the numbers in them are our own and a thousand parameters take longer than the search;
    and they are put together by UNION ALL, since then neither store reads more than the ranges.
    """
    found: list[bytes] = []
    for start in range(0, len(queries), QUERIES):
        found += connection.execute(text(" UNION ALL ".join(queries[start : start + QUERIES]))).scalars().all()
    return found


def _growing(radius: float) -> Iterator[float]:
    """Balls to try, each twice the one before, the last one the whole."""
    doublings = max(math.ceil(math.log2(radius / SMALLEST)), 0)
    return (radius / 2**n for n in range(doublings, -1, -1))


def _rows_of_cells(sides: Sides, known: Sides | None) -> list[tuple[int, int]] | None:
    """First and last cell of each row along b*, on which the numbers run on, of a box but for a box within it.

    None where it has too many.
    """
    L, a, b = _steps(sides)
    if len(L) * len(a) > MOST_ROWS:
        return None
    inner = _steps(known) if known is not None else (range(0), range(0), range(0))
    ranges = []
    for at_L, at_a in itertools.product(L, a):
        left = [b]
        if at_L in inner[0] and at_a in inner[1]:
            left = [range(b.start, inner[2].start), range(inner[2].stop, b.stop)]
        ranges += [(at_L, at_a, one.start, one.stop - 1) for one in left if one]
    return [(cell(i * CELL, j * CELL, m * CELL), cell(i * CELL, j * CELL, n * CELL)) for i, j, m, n in ranges]


def _steps(sides: Sides) -> tuple[range, range, range]:
    """The cells of a box along L*, a* and b*."""
    L, a, b = (range(math.floor(low / CELL), math.floor(high / CELL) + 1) for low, high in sides)
    return L, a, b


def _table(pieces: Sequence[bytes], meeting: int | None) -> Floats:
    """Row, L*, a*, b* (n, 4) of packed colours, those of a set alone; as packed.colours_of, all at once."""
    import numpy as np

    if any(len(piece) % 32 for piece in pieces):
        raise BookError(DAMAGED)
    table = np.frombuffer(b"".join(pieces), dtype="<f8").reshape(-1, 4)
    if meeting is None or not len(table):
        return table
    rows = table[:, 0].astype(np.int64)
    size = max(int(rows.max()) + 1, meeting.bit_length())
    held = np.frombuffer(meeting.to_bytes(size // 8 + 1, "little"), dtype=np.uint8)
    return np.asarray(table[(held[rows >> 3] >> (rows & 7).astype(np.uint8)) & 1 == 1])


def _compared(table: Floats, wanted: BookQuery, radius: float) -> Sequence[tuple[int, float | None]]:
    """Rows within the radius, nearest first."""
    import numpy as np

    from stainbook.colour import delta_e_2000

    if not len(table):
        return []
    apart = delta_e_2000(table[:, 1:], np.array(wanted.colour))
    inside = np.flatnonzero(apart <= radius)
    order = inside[np.lexsort((-table[inside, 0], apart[inside]))][: wanted.limit]
    return [(int(table[i, 0]), float(apart[i])) for i in order]


# ---------------------------------------------------------------- a box that holds the ball


def box(colour: LabValues, radius: float) -> Sides | None:
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


def _most_turn(colour: LabValues, reach: float) -> float:
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
