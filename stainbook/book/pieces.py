"""Reading and writing the packed rows of ``terms`` and ``colours`` by their keys, many at a time."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping

from sqlalchemy import Connection, Table, and_, bindparam, delete, func, insert, select, update

from stainbook.book.journal import NAMES_A_QUERY

Key = tuple[int, ...]  # the values of the table's primary key: (term, piece) or (space, cell, piece)


def read(connection: Connection, table: Table, keys: Iterable[Key]) -> Iterator[tuple[Key, bytes]]:
    """Those of the keys that the table has, and what is packed there."""
    # the last but one column has many values, those beside it few: one query for each of theirs
    groups: dict[tuple[Key, int], list[int]] = defaultdict(list)
    for key in keys:
        groups[key[:-2], key[-1]].append(key[-2])
    *names, wide, piece = table.primary_key.columns
    for (before, last), values in groups.items():
        same = [column == value for column, value in zip((*names, piece), (*before, last), strict=True)]
        for start in range(0, len(values), NAMES_A_QUERY):
            some = sorted(values)[start : start + NAMES_A_QUERY]
            for many, data in connection.execute(select(wide, table.c.packed).where(*same, wide.in_(some))):
                yield (*before, many, last), data


def last(connection: Connection, table: Table, places: Iterable[Key]) -> Iterator[tuple[Key, int]]:
    """The highest piece of those places that have any; a place is a key without its piece."""
    groups: dict[Key, list[int]] = defaultdict(list)
    for place in places:
        groups[place[:-1]].append(place[-1])
    *names, wide, piece = table.primary_key.columns
    for before, values in groups.items():
        same = [column == value for column, value in zip(names, before, strict=True)]
        for start in range(0, len(values), NAMES_A_QUERY):
            some = wide.in_(sorted(values)[start : start + NAMES_A_QUERY])
            query = select(wide, func.max(piece)).where(*same, some).group_by(wide)
            for one, number in connection.execute(query):
                yield (*before, one), number


def write(connection: Connection, table: Table, wanted: Mapping[Key, bytes], held: Collection[Key]) -> None:
    """Put what is packed under its keys, of which the table has ``held``; what is empty is taken out."""
    columns = list(table.primary_key.columns)
    same = and_(*(column == bindparam(f"of_{column.name}") for column in columns))
    named = {key: {f"of_{column.name}": value for column, value in zip(columns, key, strict=True)} for key in wanted}
    gone = [named[key] for key in held if not wanted[key]]
    changed = [{**named[key], "packed": wanted[key]} for key in held if wanted[key]]
    new = [
        {**{column.name: value for column, value in zip(columns, key, strict=True)}, "packed": data}
        for key, data in sorted(wanted.items())
        if data and key not in held
    ]
    for statement, rows in ((delete(table).where(same), gone), (update(table).where(same), changed)):
        if rows:
            connection.execute(statement, rows)
    if new:
        connection.execute(insert(table), new)
