"""The whole journal of one lab as told, line by line, and such a journal put into a book that holds nothing yet.

A line says what a row says, of whatever kind; it names other rows by their line, not by seals and ids, which are a
store's own. So the same history comes from every store that it was put into, whatever stands there of other labs.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Connection, RowMapping, select

from stainbook.book import chain, index, journal
from stainbook.book.access import CLASSES, KINDS, columns_of
from stainbook.book.book_tables import records
from stainbook.book.codec import canonical, decode
from stainbook.book.entries import Erased
from stainbook.book.gate import check_text
from stainbook.book.journal import Entry, Scope
from stainbook.clock import check_time
from stainbook.errors import BookError, InputError, in_one_line, some_of
from stainbook.language import say

_LINE = "line"  # {"line": 12} in a record stands for the seal of that line's row
FIT = "fit"
_ERASED = KINDS[Erased].kind
Row = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Line:
    """One row of a lab's journal, told so that it can be read and put into another book."""

    kind: str
    at: str  # UTC, ISO 8601: when it was stored
    by: str  # who stored it
    record: Mapping[str, Any]
    name: str | None = None  # of a fit its scope; other records name themselves
    source: str | None = None
    data: bytes | None = field(default=None, repr=False)


def told(connection: Connection, scope: Scope) -> tuple[Line, ...]:
    """All rows of the scope's lab as lines, in their order."""
    query = select(records).where(scope.own()).order_by(records.c.id)
    rows = connection.execute(query).mappings().all()
    lines_of_seals = {row["seal"]: number for number, row in enumerate(rows, 1)}
    lines_of_ids = {row["id"]: number for number, row in enumerate(rows, 1)}
    return tuple(_line(row, lines_of_seals, lines_of_ids) for row in rows)


def _line(row: RowMapping, seals: Mapping[str, int], ids: Mapping[int, int]) -> Line:
    record = json.loads(row["content"])
    if row["kind"] == _ERASED:
        record = {**record, "rows": [ids[number] for number, _ in record["rows"]]}
    said = _without_seals(record, seals)
    name = row["name"] if row["kind"] not in CLASSES else None
    return Line(row["kind"], row["created_at"], row["author"], said, name, row["source"], row["data"])


def _without_seals(value: Any, seals: Mapping[str, int]) -> Any:
    if isinstance(value, dict):
        return {key: _without_seals(one, seals) for key, one in value.items()}
    if isinstance(value, list):
        return [_without_seals(one, seals) for one in value]
    return {_LINE: seals[value]} if isinstance(value, str) and value in seals else value


# ---------------------------------------------------------------- into a book that holds nothing yet


def restore(connection: Connection, lines: Sequence[Line], scope: Scope) -> None:
    """Put a history into the journal of a lab that has none, and let it be found.

    Raises InputError for a lab whose journal has rows, and for a line that says nothing that a book can hold;
    it names the line by its number.
    """
    if journal.counts(connection, scope):
        raise InputError(say("a history can only be taken into a book that holds nothing yet"))
    last, links = journal.newest_link(connection, scope.lab)
    rows: list[Row] = []
    revisions: Counter[tuple[str, str]] = Counter()
    for number, line in enumerate(lines, 1):
        try:
            entry = _entry(line, rows)
            _check_about(line)
        except (BookError, InputError, ValueError, TypeError, KeyError, RecursionError) as error:
            raise InputError(
                say("line {number} of the history: {reason}", number=number, reason=in_one_line(error, most=200))
            ) from error
        revisions[entry.kind, entry.name] += 1
        row = journal.row_of(
            entry,
            number=last + number,
            lab=scope.lab,
            revision=revisions[entry.kind, entry.name],
            author=line.by,
            now=line.at,
        )
        links = row["chain"] = chain.link(links, row["seal"])
        rows.append(row)
    journal.put(connection, rows)
    index.add_lab(connection, scope.lab)


def _entry(line: Line, rows: Sequence[Row]) -> Entry:
    record = _with_seals(line.record, rows)
    if line.kind == _ERASED:
        record = {
            **record,
            "rows": [(_row(number, rows)["id"], _row(number, rows)["hash"]) for number in record["rows"]],
        }
    content = canonical(record)
    if line.kind == FIT:
        if not line.name:
            raise InputError(say("found a fit without a name, expected its scope"))
        return Entry(FIT, line.name, content, line.data)
    if line.kind not in CLASSES:
        raise InputError(
            say(
                "found the kind {kind!r:.40}, expected one of {known}",
                kind=line.kind,
                known=some_of(sorted([*CLASSES, FIT])),
            )
        )
    decoded = decode(CLASSES[line.kind], content)
    check_text(decoded, f"{line.kind} {getattr(decoded, KINDS[type(decoded)].name)!r:.40}")
    name = getattr(decoded, KINDS[type(decoded)].name)
    columns = dict(columns_of(decoded))
    if line.source and "source" in columns:
        columns["source"] = line.source
    return Entry(line.kind, name, content, line.data, tuple(columns.items()))


def _with_seals(value: Any, rows: Sequence[Row]) -> Any:
    if isinstance(value, Mapping):
        if value.keys() == {_LINE}:
            return _row(value[_LINE], rows)["seal"]
        return {key: _with_seals(one, rows) for key, one in value.items()}
    return [_with_seals(one, rows) for one in value] if isinstance(value, list | tuple) else value


def _row(number: Any, rows: Sequence[Row]) -> Row:
    if not (isinstance(number, int) and 1 <= number <= len(rows)):
        raise InputError(say("found line {number!r:.20}, expected one before it", number=number))
    return rows[number - 1]


def _check_about(line: Line) -> None:
    if not (isinstance(line.by, str) and 0 < len(line.by) <= 200 and isinstance(line.at, str) and len(line.at) <= 32):
        raise InputError(
            say("found by {by!r:.40} at {at!r:.40}, expected who stored it and when", by=line.by, at=line.at)
        )
    if datetime.fromisoformat(line.at).utcoffset() != timedelta(0):  # times are compared as text
        raise InputError(say("found {at!r}, expected a time in UTC, such as 2026-03-02T10:40:00+00:00", at=line.at))
    check_text(line.by, say("who stored it"))
    check_time(line.at, say("when it was stored"))
