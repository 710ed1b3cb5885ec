"""Finding again: by target colour, nearest first, under conditions; by words; newest first where no colour is asked.

Exact and simple: all conditions and words of the lab's rows are read and compared, and all colours under the light
asked for, by ΔE00 itself. What other labs share is looked through in the same way.
"""

from __future__ import annotations

import functools
import itertools
from collections.abc import Iterator, Sequence

from sqlalchemy import Connection, select

from stainbook.book.book_tables import searched
from stainbook.book.index import COLOUR_BYTES, DAMAGED, SPAN, TERMS, colours_under, rows_having, term
from stainbook.book.journal import Place
from stainbook.book.wanted import BookQuery
from stainbook.errors import BookError

_MANY = ("stain", "lot", "word", "consistency", "material")  # of which one record may have several
Key = tuple[str, int]  # lab and number of a piece
Found = list[tuple[Place, float | None]]


def find(connection: Connection, wanted: BookQuery, *, lab: str) -> Found:
    """Rows, and ΔE00 where a colour is wanted: nearest first, else newest first, the lab's own before the others'."""
    if _contradicts(wanted.conditions):
        return []
    found = [*_find(connection, wanted, lab, shared=False), *_find(connection, wanted, lab, shared=True)]
    return sorted(found, key=lambda one: one[1] or 0.0)[: wanted.limit]


def _contradicts(conditions: Sequence[tuple[str, str]]) -> bool:
    """True where two values of one thing are asked for, of which a record has one."""
    single = {(what, value.casefold()) for what, value in conditions if what not in _MANY}
    return len({what for what, _ in single}) < len(single)


def _find(connection: Connection, wanted: BookQuery, lab: str, *, shared: bool) -> Found:
    meeting = None
    if wanted.conditions:
        asked = [term(*one) for one in wanted.conditions]
        pieces = _pieces(connection, TERMS, lab, shared=shared)
        meeting = {key: rows for key, data in pieces if (rows := _meeting(data, asked))}
        if wanted.colour is None or not meeting:
            return [(place, None) for place in itertools.islice(_newest(meeting), wanted.limit)]
    return _nearest(dict(_pieces(connection, colours_under(wanted.viewing), lab, shared=shared)), wanted, meeting)


def _pieces(connection: Connection, what: str, lab: str, *, shared: bool) -> Iterator[tuple[Key, bytes]]:
    """What is packed of a lab, or of what the others share."""
    whose = searched.c.lab != lab if shared else searched.c.lab == lab
    query = select(searched.c.lab, searched.c.piece, searched.c.packed)
    for row in connection.execute(query.where(searched.c.shared == shared, searched.c.what == what, whose)):
        yield (row.lab, row.piece), row.packed


def _meeting(data: bytes, asked: Sequence[bytes]) -> set[int]:
    """The rows of a piece that have all terms."""
    return functools.reduce(lambda rows, one: rows and rows & set(rows_having(data, one)), asked, set(range(SPAN)))


def _newest(meeting: dict[Key, set[int]]) -> Iterator[Place]:
    for (lab, piece), rows in sorted(meeting.items(), key=lambda one: -one[0][1]):
        yield from ((lab, piece * SPAN + row) for row in sorted(rows, reverse=True))


def _nearest(pieces: dict[Key, bytes], wanted: BookQuery, meeting: dict[Key, set[int]] | None) -> Found:
    """The nearest colours within the radius, of the rows that meet the conditions or (None) of all."""
    import numpy as np

    from stainbook.colour import delta_e_2000

    sizes, rest = (
        zip(*(divmod(len(data), COLOUR_BYTES) for data in pieces.values()), strict=True) if pieces else ((), ())
    )
    if any(rest):
        raise BookError(DAMAGED)
    table = np.frombuffer(b"".join(pieces.values()), dtype="<f8").reshape(-1, COLOUR_BYTES // 8)
    places = np.repeat(np.arange(len(pieces)) * SPAN, sizes) + table[:, 0].astype(np.int64)
    if meeting is not None:
        asked = [at * SPAN + row for at, key in enumerate(pieces) for row in meeting.get(key, ())]
        kept = np.isin(places, np.array(asked, dtype=np.int64))
        table, places = table[kept], places[kept]
    if not len(table):
        return []
    apart = delta_e_2000(table[:, 1:], np.array(wanted.colour))
    order = np.lexsort((-places, apart))[: wanted.limit]
    keys = list(pieces)
    near = [(divmod(int(places[one]), SPAN), float(apart[one])) for one in order if apart[one] <= wanted.radius]
    return [((keys[at][0], keys[at][1] * SPAN + row), dE00) for (at, row), dE00 in near]
