"""Erasing a case: its code, free text, photos and readings' names go; nameless colours and a tombstone stay.

What is left of a row is the same kind of record under a name that says nothing. The chain still holds, since
it ties seals and not contents, and the salt that it would take to try contents against a seal is gone too.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, select, update

from stainbook.book import index, journal
from stainbook.book.access import CLASSES, KINDS
from stainbook.book.book_tables import records
from stainbook.book.codec import decode, digest, encode
from stainbook.book.entries import Erased, Import, Share
from stainbook.book.journal import Scope
from stainbook.kept import Choice, Correction, Decision, Firing, Outcome, Painted, Photo
from stainbook.records import Case, CaseZone, Effect, Reading, SampleRef

_ITS_OWN = ("case", "choice", "firing", "outcome", "decision", "photo", "painted")
_SEARCHED = ("case", "outcome")
_SAID = "erased"
Row = dict[str, Any]


def erase(connection: Connection, case: str, *, scope: Scope, why: str | None) -> Erased | None:
    """Take what names a case out of all rows that tell of it; gives the tombstone, None where there is no such case."""
    own = [row for row in _rows(connection, scope, *_ITS_OWN) if _said(row).case == case]
    if not own:
        return None
    codes, samples = _codes(case, own), {name for row in own for name in _samples(_said(row)) if case in name}
    read = _rows(connection, scope, "reading")
    readings = [row for row in read if row["name"].startswith(codes) or row["name"] in samples]
    files = [row for row in _rows(connection, scope, "import") if case in row["name"]]
    rows = [*own, *readings, *files]
    seals = {row["seal"] for row in rows}
    corrections = _rows(connection, scope, "correction")
    rows += [row for row in corrections if row["name"] in seals]
    shown = {f"{row['kind']}/{row['name']}" for row in own}
    rows += [row for row in _rows(connection, scope, journal.SHARE) if row["name"] in shown]
    index.drop(connection, [row for row in own if row["kind"] in _SEARCHED])
    tombstone = f"{_SAID}-{min(row['id'] for row in own)}"
    names = _new_names(rows, tombstone)
    left = {row["id"]: _emptied(connection, row, names[row["kind"], row["name"]], tombstone) for row in rows}
    found = journal.by_id(connection, [(scope.lab, row["id"]) for row in own if row["kind"] in _SEARCHED])
    taken_back = {row["name"] for row in corrections}
    index.add(connection, [row for row in _newest(found.values()) if row["seal"] not in taken_back])
    left |= dict(_sources_emptied(connection, case, scope))
    return Erased(tombstone, tuple(sorted(left.items())), why)


def _newest(rows: Iterable[Any]) -> list[Row]:
    """The newest revision of each thing among some rows."""
    last = {(row.kind, row.name): dict(row._mapping) for row in sorted(rows, key=lambda row: row.id)}
    return list(last.values())


def _rows(connection: Connection, scope: Scope, *kinds: str) -> list[Row]:
    query = select(records).where(scope.own(), records.c.kind.in_(kinds)).order_by(journal.STORED)
    return [dict(row) for row in connection.execute(query).mappings()]


def _codes(case: str, own: Sequence[Row]) -> tuple[str, ...]:
    """How the samples of the case begin: with its code, a tooth and a zone of it."""
    return tuple({f"{case}-{tooth}-{zone}" for row in own for tooth, zone in _places(_said(row))})


def _said(row: Row) -> Any:
    return decode(CLASSES[row["kind"]], row["content"])


def _places(record: Any) -> Iterator[tuple[int, str]]:
    if isinstance(record, Case):
        yield from (zone.key for zone in record.zones)
    elif isinstance(record, Outcome):
        yield record.tooth, record.zone


def _samples(record: Any) -> Iterator[str]:
    """The samples that a record of the case names."""
    if isinstance(record, Case):
        yield from (zone.now.sample for zone in record.zones if isinstance(zone.now, SampleRef))
    elif isinstance(record, Outcome):
        yield from (reading.sample for reading in (record.before, record.after) if reading is not None)


def _new_names(rows: Sequence[Row], tombstone: str) -> dict[tuple[str, str], str]:
    """A name that says nothing for each name, one and the same for all revisions of a thing."""
    names: dict[tuple[str, str], str] = {}
    for row in rows:
        key = row["kind"], row["name"]
        names.setdefault(key, tombstone if row["kind"] in _ITS_OWN else f"{tombstone}-{len(names) + 1}")
    return names


def _emptied(connection: Connection, row: Row, name: str, tombstone: str) -> str:
    """Replace a row by what may stay of it; gives the hash of that."""
    cls = CLASSES[row["kind"]]
    record = _nameless(_said(row), name, tombstone)
    content = encode(record)
    said = {"name": getattr(record, KINDS[cls].name), "content": content, "hash": digest(content), "data": None}
    _change(connection, row, {**said, "source": None, "salt": ""})
    return digest(content)


def _nameless(record: Any, name: str, tombstone: str) -> Any:
    """What may stay of a record."""
    if isinstance(record, Case):
        zones = tuple(CaseZone(zone.tooth, zone.zone, zone.tissue, fired=zone.fired) for zone in record.zones)
        drawn = tuple(Effect(effect.tooth, effect.effect) for effect in record.effects)
        return replace(record, case=name, zones=zones, effects=drawn, source="")
    if isinstance(record, Firing):
        return replace(record, case=name, clinic=None, source="")
    if isinstance(record, Outcome):
        before = _nameless(record.before, tombstone, tombstone) if record.before else None
        after = _nameless(record.after, tombstone, tombstone)
        return replace(record, case=name, before=before, after=after, note=None, source="")
    if isinstance(record, Choice):
        return replace(record, case=name)
    if isinstance(record, Decision):
        return replace(record, case=name, why=None)
    if isinstance(record, Painted):
        return replace(record, case=name)
    if isinstance(record, Photo):
        return replace(record, case=name, zones=(), method=None, taken_with=None)
    if isinstance(record, Reading):
        return replace(record, sample=name, notes=None, source="")
    if isinstance(record, Import):
        return Import(name, "")
    if isinstance(record, Share):
        return Share(name, shared=False)
    return Correction(record.of, _SAID, record.by)


def _sources_emptied(connection: Connection, case: str, scope: Scope) -> Iterator[tuple[int, str]]:
    """Take the code out of where other rows came from, such as the case's readings file."""
    named = records.c.source.contains(case, autoescape=True)
    query = select(records.c.lab, records.c.id, records.c.hash).where(scope.own(), named)
    for row in map(dict, connection.execute(query).mappings().all()):
        _change(connection, row, {"source": None, "salt": ""})
        yield row["id"], row["hash"]


def _change(connection: Connection, row: Mapping[str, Any], values: Mapping[str, Any]) -> None:
    connection.execute(update(records).where(records.c.lab == row["lab"], records.c.id == row["id"]).values(**values))
