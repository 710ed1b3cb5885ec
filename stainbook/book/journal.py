"""The journal of the book: append rows, find rows. Each function works inside the caller's transaction."""

from __future__ import annotations

import secrets
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, Select, and_, func, insert, or_, select, update

from stainbook.book import chain
from stainbook.book.book_tables import head, records
from stainbook.book.codec import digest
from stainbook.book.gate import tidy

NAMES_A_QUERY = 500  # well below the number of parameters that either store takes
STORED = records.c.id + 0  # the order in which rows were stored; by ``id`` itself SQLite would read all kinds of rows
Place = tuple[str, int]  # lab and id of a row
Mark = tuple[tuple[str, int], ...]
_LAST = "\U0010ffff"  # no character has a higher number
SHARE = "share"  # kind of the records that say what a lab shows to the others
_TAKING_BACK = frozenset({"correction", "erased", SHARE})


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


@dataclass(frozen=True, slots=True)
class Scope:
    """What is looked at: one lab's rows, and up to which row of the journal (None: all of it)."""

    lab: str = ""
    upto: int | None = None

    def own(self) -> ColumnElement[bool]:
        """The lab's rows."""
        mine = records.c.lab == self.lab
        return mine if self.upto is None else and_(mine, records.c.id <= self.upto)


def append(
    connection: Connection, entries: Sequence[Entry], *, lab: str, author: str, now: str, repeats: str
) -> list[dict[str, Any]]:
    """Append what is new and give the rows that were stored.

    repeats : what is already there and left out: ``newest`` leaves out what equals the newest
        revision of its name, ``any`` what equals any revision, ``none`` stores all.
    """
    known = _known(connection, entries, lab)
    last, links = newest_link(connection, lab)
    rows: list[dict[str, Any]] = []
    for entry in entries:
        before = known[entry.kind, entry.name]
        if entry.hash in {"newest": before[-1:], "any": before, "none": []}[repeats]:
            continue
        before.append(entry.hash)
        row = row_of(entry, number=last + 1 + len(rows), lab=lab, revision=len(before), author=author, now=now)
        links = row["chain"] = chain.link(links, row["seal"])
        rows.append(row)
    put(connection, rows)
    return rows


def newest_link(connection: Connection, lab: str) -> tuple[int, str]:
    """Id and chain of a lab's newest row, of the start of a chain where it has none."""
    found = connection.execute(select(head.c.last, head.c.chain).where(head.c.lab == lab)).one_or_none()
    return (0, chain.START) if found is None else (int(found.last), str(found.chain))


def put(connection: Connection, rows: Sequence[Mapping[str, Any]]) -> None:
    """Put sealed and chained rows of one lab at the end of its journal."""
    if not rows:
        return
    connection.execute(insert(records), list(map(dict, rows)))
    lab, end = rows[0]["lab"], {"last": rows[-1]["id"], "chain": rows[-1]["chain"]}
    if not connection.execute(update(head).where(head.c.lab == lab).values(**end)).rowcount:
        connection.execute(insert(head).values(lab=lab, **end, begun=0))


def row_of(entry: Entry, *, number: int, lab: str, revision: int, author: str, now: str) -> dict[str, Any]:
    """A row that says what an entry says, sealed and not yet chained."""
    row = {
        "id": number,
        "lab": lab,
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
        "salt": secrets.token_hex(16),
    }
    return {**row, "seal": chain.seal(row)}


def _known(connection: Connection, entries: Sequence[Entry], lab: str) -> dict[tuple[str, str], list[str]]:
    """The hashes of all revisions, oldest first, of the things that the entries name."""
    known: dict[tuple[str, str], list[str]] = defaultdict(list)
    for kind in {entry.kind for entry in entries}:
        names = sorted({entry.name for entry in entries if entry.kind == kind})
        for start in range(0, len(names), NAMES_A_QUERY):
            some = names[start : start + NAMES_A_QUERY]
            query = select(records.c.name, records.c.hash).where(
                records.c.lab == lab, records.c.kind == kind, records.c.name.in_(some)
            )
            for name, found in connection.execute(query.order_by(records.c.name, records.c.revision)):
                known[kind, name].append(found)
    return known


def newest(connection: Connection, kind: str, scope: Scope) -> Iterator[Row[Any]]:
    """The newest revision of each thing of a kind, in the order in which the things were first stored."""
    yield from connection.execute(_newest(kind, scope.own()))


def newest_shared(connection: Connection, kind: str, scope: Scope) -> Iterator[Row[Any]]:
    """The newest revision of each thing of a kind that other labs share."""
    given = shared(connection, kind)
    theirs = [and_(records.c.lab == lab, records.c.name == name) for lab, name in given if lab != scope.lab]
    if theirs:
        yield from connection.execute(_newest(kind, or_(*theirs)))


def _newest(kind: str, whose: ColumnElement[bool]) -> Select[Any]:
    last = (
        select(
            records.c.lab,
            records.c.name,
            func.max(records.c.revision).label("revision"),
            func.min(records.c.id).label("first"),
        )
        .where(records.c.kind == kind, whose)
        .group_by(records.c.lab, records.c.name)
        .subquery()
    )
    same = and_(records.c.lab == last.c.lab, records.c.name == last.c.name, records.c.revision == last.c.revision)
    return select(records).join(last, same).where(records.c.kind == kind).order_by(last.c.first, last.c.lab)


def shared(connection: Connection, kind: str) -> list[tuple[str, str]]:
    """Lab and name of the things of a kind that labs share."""
    last = _newest(SHARE, records.c.name.startswith(f"{kind}/", autoescape=True))
    rows = connection.execute(last)
    return [(row.lab, row.name.partition("/")[2]) for row in rows if '"shared":true' in row.content]


def revisions(connection: Connection, kind: str, scope: Scope, **columns: str | int | None) -> Iterator[Row[Any]]:
    """All rows of a kind in the order stored, narrowed by columns; None narrows nothing."""
    yield from connection.execute(narrowed(kind, scope, columns).order_by(STORED))


def beginning(connection: Connection, kinds: Sequence[str], scope: Scope, start: str) -> Iterator[Row[Any]]:
    """All rows of some kinds whose names begin so, in the order stored."""
    named = records.c.name.between(start, start + _LAST)  # names are ordered by their characters' numbers
    query = select(records).where(records.c.kind.in_(kinds), scope.own(), named)
    yield from connection.execute(query.order_by(STORED))


def named(connection: Connection, kind: str, scope: Scope, names: Sequence[str]) -> Iterator[Row[Any]]:
    """All rows of a kind under some names, in the order stored within so many names as one query takes."""
    names = list(dict.fromkeys([*names, *map(tidy, names)]))
    for start in range(0, len(names), NAMES_A_QUERY):
        some = records.c.name.in_(names[start : start + NAMES_A_QUERY])
        yield from connection.execute(narrowed(kind, scope, {}).where(some).order_by(STORED))


def newest_of(connection: Connection, kind: str, scope: Scope, names: Sequence[str]) -> dict[str, Row[Any]]:
    """The row that was stored last under each name in the form in which the book keeps it, of those that are there."""
    return {row.name: row for row in named(connection, kind, scope, names)}


def last_revision(connection: Connection, kind: str, scope: Scope, **columns: str | int | None) -> Row[Any] | None:
    """The row of a name's ``revisions`` that was stored last, or None."""
    query = narrowed(kind, scope, columns).order_by(records.c.revision.desc()).limit(1)
    return connection.execute(query).one_or_none()


def narrowed(kind: str, scope: Scope, columns: dict[str, str | int | None]) -> Select[Any]:
    """The query of ``revisions``."""
    query = select(records).where(records.c.kind == kind, scope.own())
    for column, value in columns.items():
        if column == "name" and isinstance(value, str):
            query = query.where(records.c.name.in_({value, tidy(value)}))
        elif value is not None:
            query = query.where(records.c[column] == value)
    return query


def first_seals(connection: Connection, kind: str, scope: Scope) -> list[tuple[str, str]]:
    """Name and seal of the first row of each thing of a kind."""
    query = select(records.c.name, records.c.seal).where(records.c.kind == kind, records.c.revision == 1, scope.own())
    return [(row.name, row.seal) for row in connection.execute(query)]


def contents(connection: Connection, kind: str, scope: Scope) -> Iterator[tuple[int, str, str]]:
    """Number, content and seal of all rows of a kind, in the order stored."""
    columns = (records.c.id, records.c.content, records.c.seal)
    query = select(*columns).where(records.c.kind == kind, scope.own()).order_by(STORED)
    yield from ((row.id, row.content, row.seal) for row in connection.execute(query))


def sealed(connection: Connection, seals: Sequence[str], scope: Scope) -> list[Row[Any]]:
    """Rows by their seals."""
    found: list[Row[Any]] = []
    for start in range(0, len(seals), NAMES_A_QUERY):
        some = records.c.seal.in_(seals[start : start + NAMES_A_QUERY])
        found += connection.execute(select(records).where(some, scope.own())).all()
    return found


def by_id(connection: Connection, places: Iterable[Place]) -> dict[Place, Row[Any]]:
    """Rows by lab and id."""
    numbers: dict[str, list[int]] = defaultdict(list)
    for lab, number in places:
        numbers[lab].append(number)
    found: dict[Place, Row[Any]] = {}
    for lab, own in numbers.items():
        for start in range(0, len(own), NAMES_A_QUERY):
            some = records.c.id.in_(own[start : start + NAMES_A_QUERY])
            found |= {
                (lab, row.id): row for row in connection.execute(select(records).where(records.c.lab == lab, some))
            }
    return found


def names(connection: Connection, kind: str, scope: Scope) -> list[str]:
    """The names of the things of a kind in the order in which they were first stored."""
    query = select(records.c.name).where(records.c.kind == kind, records.c.revision == 1, scope.own())
    return list(connection.scalars(query.order_by(STORED)))


def counts(connection: Connection, scope: Scope) -> dict[str, int]:
    """How many different things of each kind the lab's book holds."""
    query = select(records.c.kind, func.count().label("number")).where(records.c.revision == 1, scope.own())
    rows = connection.execute(query.group_by(records.c.kind).order_by(records.c.kind))
    return {row.kind: row.number for row in rows}


def last_change(connection: Connection, scope: Scope) -> int:
    """The number of the lab's newest row but choices, from which nothing is computed; 0 in an empty book."""
    query = select(records.c.id).where(scope.own(), records.c.kind != "choice")
    return int(connection.scalar(query.order_by(records.c.id.desc()).limit(1)) or 0)


def stored_since(connection: Connection, scope: Scope, number: int, most: int) -> list[tuple[str, str]]:
    """Kind and name of the lab's rows after a number, at most so many."""
    query = select(records.c.kind, records.c.name).where(scope.own(), records.c.id > number)
    return [(row.kind, row.name) for row in connection.execute(query.order_by(records.c.id).limit(most))]


def mark(connection: Connection, scope: Scope, kinds: Collection[str] = ()) -> Mark:
    """The newest row of each lab that can be seen: another one with each row that anything may follow from.

    kinds : the lab's own rows that count; all where none is named
    """
    ends = select(head.c.lab, head.c.last).order_by(head.c.lab)
    found = {row.lab: row.last for row in connection.execute(ends)}
    if kinds:
        meant = records.c.kind.in_({*kinds, *_TAKING_BACK})
        own = select(func.max(records.c.id)).where(meant, records.c.lab == scope.lab)
        found[scope.lab] = int(connection.scalar(own) or 0)
    return tuple(found.items())


def last_row(connection: Connection, scope: Scope) -> int:
    """The number of the lab's newest row, 0 in an empty book."""
    return int(connection.scalar(select(func.max(records.c.id)).where(scope.own())) or 0)
