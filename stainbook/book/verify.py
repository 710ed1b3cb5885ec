"""Whether the journal still says what was stored in it: each record, their chain, and how it ends."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, select, text

from stainbook.book import chain, index
from stainbook.book.access import CLASSES
from stainbook.book.book_tables import head, records
from stainbook.book.codec import decode, digest
from stainbook.book.entries import Erased
from stainbook.errors import BookError

_ROWS_A_STEP = 200  # a row may hold a photo


@dataclass(frozen=True, slots=True)
class Checked:
    """What came of checking: how many rows, how the chain ends, and each fault in a sentence."""

    rows: int
    head: str
    faults: tuple[str, ...]
    erased: int = 0


def check(connection: Connection) -> Checked:
    """Go through the whole journal, of all labs, in its order; then through what searches run on."""
    faults: list[str] = list(_store(connection))
    gone = _erased(connection, faults)
    number, links = 0, chain.START
    for row in _rows(connection):
        if row["id"] != number + 1:
            faults.append(f"{_missing(number + 1, row['id'] - 1)}: taken out of the journal")
        number = row["id"]
        faults += _faults(row, links, gone.get(number))
        links = row["chain"]
    faults += _end(connection, number, links)
    if not faults and not index.fits(connection):
        faults.append("what searches run on does not fit the records; `stainbook book verify --rebuild` makes it again")
    return Checked(number, links, tuple(faults), len(gone))


def _store(connection: Connection) -> Iterator[str]:
    """What the store itself finds wrong with its file; a server looks after its own."""
    if connection.dialect.name == "sqlite":
        for said in connection.execute(text("PRAGMA integrity_check(3)")).scalars():
            if said != "ok":
                yield f"the file is damaged: {' '.join(said.split())}"


def _rows(connection: Connection) -> Iterator[dict[str, Any]]:
    last = 0
    while True:
        query = select(records).where(records.c.id > last).order_by(records.c.id).limit(_ROWS_A_STEP)
        some = connection.execute(query).mappings().all()
        if not some:
            return
        yield from map(dict, some)
        last = some[-1]["id"]


def _erased(connection: Connection, faults: list[str]) -> dict[int, str]:
    """What is left of each erased row, by its id."""
    query = select(records.c.id, records.c.content).where(records.c.kind == "erased").order_by(records.c.id)
    gone: dict[int, str] = {}
    for number, content in connection.execute(query):
        try:
            gone |= dict(decode(Erased, content).rows)
        except BookError as error:
            faults.append(f"row {number}: {error}")
    return gone


def _faults(row: dict[str, Any], links: str, left: str | None) -> Iterator[str]:
    what = f"row {row['id']} ({row['kind']} {row['name']!r}, revision {row['revision']})"
    if row["hash"] != digest(row["content"], row["data"]) or (left is not None and row["hash"] != left):
        yield f"{what}: its content was changed"
    elif left is None and row["seal"] != chain.seal(row):
        yield f"{what}: its name, author, time or another column was changed"
    if row["chain"] != chain.link(links, row["seal"]):
        yield f"{what}: does not follow the row before it; a row was changed, added or taken out"
    cls = CLASSES.get(row["kind"])
    if cls is not None:
        try:
            decode(cls, row["content"])
        except BookError as error:
            yield f"{what}: {error}"


def _end(connection: Connection, number: int, links: str) -> Iterator[str]:
    found = connection.execute(select(head.c.last, head.c.chain)).one_or_none()
    last, end = (0, chain.START) if found is None else found
    if last > number:
        yield f"{_missing(number + 1, last)}: taken off the end of the journal"
    elif (last, end) != (number, links):
        yield f"the journal ends at row {number}, the book expects its end at row {last}: rows were added or changed"


def _missing(first: int, last: int) -> str:
    return f"row {first}" if first == last else f"rows {first} to {last}"
