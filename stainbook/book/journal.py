"""The journal of the book: append rows, find rows. Each function works inside the caller's transaction."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, Select, and_, func, insert, select

from stainbook.book.codec import digest
from stainbook.book.schema import records

_NAMES_A_QUERY = 500  # well below the number of parameters that either store takes


@dataclass(frozen=True, slots=True)
class Entry:
    """What is to be appended; ``columns`` are the copies that are searched."""

    kind: str
    name: str
    content: str
    data: bytes | None = None
    columns: tuple[tuple[str, str | None], ...] = ()

    @property
    def hash(self) -> str:
        """SHA-256 of content and data."""
        return digest(self.content, self.data)


def append(connection: Connection, entries: Sequence[Entry], *, author: str, now: str, repeats: str) -> tuple[int, ...]:
    """Append what is new and give the revision that each stored entry got.

    repeats : what is already there and left out: ``newest`` leaves out what equals the newest
        revision of its name, ``any`` what equals any revision, ``none`` stores all.
    """
    known = _known(connection, entries)
    rows: list[dict[str, Any]] = []
    for entry in entries:
        before = known[entry.kind, entry.name]
        if entry.hash in {"newest": before[-1:], "any": before, "none": []}[repeats]:
            continue
        before.append(entry.hash)
        rows.append(_row(entry, revision=len(before), author=author, now=now))
    if rows:
        connection.execute(insert(records), rows)
    return tuple(row["revision"] for row in rows)


def _row(entry: Entry, *, revision: int, author: str, now: str) -> dict[str, Any]:
    return {
        "kind": entry.kind,
        "name": entry.name,
        "revision": revision,
        "stage": None,
        "material": None,
        "lot": None,
        "source": None,
        **dict(entry.columns),
        "created_at": now,
        "author": author,
        "hash": entry.hash,
        "content": entry.content,
        "data": entry.data,
    }


def _known(connection: Connection, entries: Sequence[Entry]) -> dict[tuple[str, str], list[str]]:
    """The hashes of all revisions, oldest first, of the things that the entries name."""
    known: dict[tuple[str, str], list[str]] = defaultdict(list)
    for kind in {entry.kind for entry in entries}:
        names = sorted({entry.name for entry in entries if entry.kind == kind})
        for start in range(0, len(names), _NAMES_A_QUERY):
            some = names[start : start + _NAMES_A_QUERY]
            query = select(records.c.name, records.c.hash).where(records.c.kind == kind, records.c.name.in_(some))
            for name, found in connection.execute(query.order_by(records.c.name, records.c.revision)):
                known[kind, name].append(found)
    return known


def newest(connection: Connection, kind: str) -> Iterator[Row[Any]]:
    """The newest revision of each thing of a kind, in the order in which the things were first stored."""
    last = (
        select(records.c.name, func.max(records.c.revision).label("revision"), func.min(records.c.id).label("first"))
        .where(records.c.kind == kind)
        .group_by(records.c.name)
        .subquery()
    )
    same = and_(records.c.name == last.c.name, records.c.revision == last.c.revision)
    query = select(records).join(last, same).where(records.c.kind == kind)
    yield from connection.execute(query.order_by(last.c.first))


def revisions(connection: Connection, kind: str, **columns: str | int | None) -> Iterator[Row[Any]]:
    """All rows of a kind in the order stored, narrowed by columns; None narrows nothing."""
    yield from connection.execute(_narrowed(kind, columns).order_by(records.c.id))


def last_revision(connection: Connection, kind: str, **columns: str | int | None) -> Row[Any] | None:
    """The row of ``revisions`` that was stored last, or None."""
    return connection.execute(_narrowed(kind, columns).order_by(records.c.id.desc()).limit(1)).one_or_none()


def _narrowed(kind: str, columns: dict[str, str | int | None]) -> Select[Any]:
    query = select(records).where(records.c.kind == kind)
    for column, value in columns.items():
        if value is not None:
            query = query.where(records.c[column] == value)
    return query


def counts(connection: Connection) -> dict[str, int]:
    """How many different things of each kind the book holds."""
    query = select(records.c.kind, func.count().label("number")).where(records.c.revision == 1).group_by(records.c.kind)
    return {row.kind: row.number for row in connection.execute(query.order_by(records.c.kind))}
