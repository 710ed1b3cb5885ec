"""Whether the journal still says what was stored in it: each record, their chain, and how it ends."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, Connection, and_, func, select, text

from stainbook.book import chain, index
from stainbook.book.access import CLASSES
from stainbook.book.book_tables import ALL_LABS, head, records
from stainbook.book.codec import decode, digest
from stainbook.book.entries import Erased
from stainbook.book.journal import Place
from stainbook.errors import BookError, message
from stainbook.language import say

_ROWS_A_STEP = 200  # a row may hold a photo


@dataclass(frozen=True, slots=True)
class Checked:
    """What came of checking: how many rows, how the chain ends, and each fault in a sentence."""

    rows: int
    head: str
    faults: tuple[str, ...]
    erased: int = 0


@dataclass(frozen=True, slots=True)
class _Chain:
    """Rows that are chained, and where head says that they begin and end."""

    lab: str
    rows: ColumnElement[bool]
    begun: tuple[int, str]  # id and chain before its first row
    ended: tuple[int, str]


def check(connection: Connection, *, lab: str) -> Checked:
    """Go through the journals of all labs, each in its order; then through what searches run on.

    lab : whose chain's end is told; ``rows`` counts those of all labs. A fault of a lab with a name names it.
    """
    faults: list[str] = list(_store(connection))
    gone = _erased(connection, faults)
    rows, links = 0, {}
    for whose, one in _chains(connection):
        checked, links[whose] = _check_chain(connection, one, gone, faults)
        rows += checked
    if not faults:
        rebuilt = say("what searches run on does not fit the records; `stainbook book verify --rebuild` makes it again")
        faults = [_of_lab(whose, rebuilt) for whose in index.unfit(connection)]
    return Checked(rows, links.get(lab, chain.START), tuple(faults), len(gone))


def _chains(connection: Connection) -> Iterator[tuple[str, _Chain]]:
    """The one chain that all labs had before, where there was one; then that of each lab."""
    ends = {row.lab: row for row in connection.execute(select(head))}
    before = ends.pop(ALL_LABS, None)
    start = (0, chain.START)
    if before is not None:
        old = [whose for whose, end in ends.items() if end.begun]
        rows = and_(records.c.lab.in_(old), records.c.id <= before.last)
        yield ALL_LABS, _Chain("", rows, start, (before.last, before.chain))
    for whose in sorted({*ends, *connection.scalars(select(records.c.lab).distinct())}):
        end = ends.get(whose)
        begun = (end.begun, before.chain if before is not None else chain.START) if end and end.begun else start
        rows = and_(records.c.lab == whose, records.c.id > begun[0])
        yield whose, _Chain(whose, rows, begun, (end.last, end.chain) if end else start)


def _of_lab(lab: str, fault: str) -> str:
    return say("lab {lab!r}: {fault}", lab=lab, fault=fault) if lab else fault


def _check_chain(connection: Connection, one: _Chain, gone: Mapping[Place, str], faults: list[str]) -> tuple[int, str]:
    """Add the faults of a chain; gives how many rows it has and how it ends."""
    (number, links), counted = one.begun, 0
    for row in _rows(connection, one):
        if row["id"] != number + 1:
            gap = _missing(number + 1, row["id"] - 1)
            faults.append(_of_lab(one.lab, say("{rows}: taken out of the journal", rows=gap)))
        number, counted = row["id"], counted + 1
        faults += [_of_lab(row["lab"], fault) for fault in _faults(row, links, gone.get((row["lab"], number)))]
        links = row["chain"]
    faults += [_of_lab(one.lab, fault) for fault in _end((number, links), one.ended)]
    return counted, links


def _store(connection: Connection) -> Iterator[str]:
    """What the store itself finds wrong with its file; a server looks after its own."""
    if connection.dialect.name == "sqlite":
        for said in connection.execute(text("PRAGMA integrity_check(3)")).scalars():
            if said != "ok":
                yield say("the file is damaged: {reason}", reason=" ".join(said.split()))


def _rows(connection: Connection, one: _Chain) -> Iterator[dict[str, Any]]:
    last: int | None = one.begun[0]
    while last is not None:
        some = and_(one.rows, records.c.id > last, records.c.id <= last + _ROWS_A_STEP)
        yield from map(dict, connection.execute(select(records).where(some).order_by(records.c.id)).mappings().all())
        following = select(func.min(records.c.id)).where(one.rows, records.c.id > last + _ROWS_A_STEP)
        last = None if (next_one := connection.scalar(following)) is None else next_one - 1


def _erased(connection: Connection, faults: list[str]) -> dict[Place, str]:
    """What is left of each erased row, by its lab and id."""
    query = select(records.c.lab, records.c.id, records.c.content).where(records.c.kind == "erased")
    gone: dict[Place, str] = {}
    for lab, number, content in connection.execute(query.order_by(records.c.lab, records.c.id)):
        try:
            gone |= {(lab, of): left for of, left in decode(Erased, content).rows}
        except BookError as error:
            faults.append(_of_lab(lab, say("row {line}: {fault}", line=number, fault=message(error))))
    return gone


def _faults(row: dict[str, Any], links: str, left: str | None) -> Iterator[str]:
    if row["hash"] != digest(row["content"], row["data"]) or (left is not None and row["hash"] != left):
        yield say("{row}: its content was changed", row=_row(row))
    elif left is None and row["seal"] != chain.seal(row):
        yield say("{row}: its name, author, time or another column was changed", row=_row(row))
    if row["chain"] != chain.link(links, row["seal"]):
        yield say("{row}: does not follow the row before it; a row was changed, added or taken out", row=_row(row))
    cls = CLASSES.get(row["kind"])
    if cls is not None:
        try:
            decode(cls, row["content"])
        except BookError as error:
            yield say("{row}: {fault}", row=_row(row), fault=message(error))


def _row(row: dict[str, Any]) -> str:
    return say(
        "row {line} ({kind} {name!r}, revision {revision})",
        line=row["id"],
        kind=row["kind"],
        name=row["name"],
        revision=row["revision"],
    )


def _end(found: tuple[int, str], told: tuple[int, str]) -> Iterator[str]:
    number, last = found[0], told[0]
    if last > number:
        yield say("{rows}: taken off the end of the journal", rows=_missing(number + 1, last))
    elif told != found:
        yield say(
            "the journal ends at row {number}, the book expects its end at row {last}: rows were added or changed",
            number=number,
            last=last,
        )


def _missing(first: int, last: int) -> str:
    return say("row {line}", line=first) if first == last else say("rows {first} to {last}", first=first, last=last)
