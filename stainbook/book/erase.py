"""Erasing a case: its code, free text, photos and readings' names go; nameless colours and a tombstone stay.

Every row of the lab is looked at, of whatever kind. Of the case's own rows what people wrote goes with the code; of
other rows that name it, such as a note, a tab of a trial or what was learnt, the code alone. The chain still holds,
since it ties seals and not contents, and the salt that it would take to try contents against a seal is gone too.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import count
from typing import Any

from sqlalchemy import Connection, or_, select, update

from stainbook.book import index, journal
from stainbook.book.access import CLASSES, KINDS, columns_of
from stainbook.book.book_tables import records
from stainbook.book.codec import canonical, decode, digest, encode
from stainbook.book.entries import Erased, Import, Share
from stainbook.book.journal import Scope
from stainbook.book.mention import Mention, spellings, without_free_text
from stainbook.errors import BookError
from stainbook.kept import Correction, Photo
from stainbook.records import Case, CaseZone, Effect, Reading

_SAID = "erased"
Row = dict[str, Any]


def erase(connection: Connection, case: str, *, scope: Scope, why: str | None) -> Erased | None:
    """Take what names a case out of all rows that tell of it; gives the tombstone, None where there is no such case."""
    found = list(_naming(connection, case, scope))
    own = {row["id"]: row for row in found if _case_of(row) == case}
    if not own:
        return None
    eraser = _eraser(connection, case, own.values(), scope)
    named = [row for row in found if row["id"] in own or eraser.names(row)]
    rows = [*named, *_tied(connection, named, scope)]
    ids = _ids(own.values())
    _unfind(connection, rows)
    left = {row["id"]: _put(connection, row, *eraser.left_of(row), eraser) for row in rows}
    _find_again(connection, rows, scope)
    said = None if why is None else eraser.mention.out_of(why)
    return Erased(eraser.mention.tombstone, tuple(sorted(left.items())), said, ids[-1] if ids else None)


# ---------------------------------------------------------------- which rows


def _naming(connection: Connection, case: str, scope: Scope) -> Iterator[Row]:
    """The rows whose text holds the code, whatever stands beside it."""
    held = [
        column.contains(one, autoescape=True)
        for spelt in spellings(case)
        for column, one in (
            (records.c.name, spelt),
            (records.c.source, spelt),
            (records.c.content, json.dumps(spelt)[1:-1]),  # as canonical JSON writes it
        )
    ]
    query = select(records).where(scope.own(), or_(*held)).order_by(journal.STORED)
    return (dict(row) for row in connection.execute(query).mappings())


def _tied(connection: Connection, rows: Iterable[Row], scope: Scope) -> list[Row]:
    """Corrections of some rows, which name them by their seals and say why."""
    rows = list(rows)
    known, seals = {row["id"] for row in rows}, [row["seal"] for row in rows]
    found = journal.named(connection, KINDS[Correction].kind, scope, seals)
    return [dict(row._mapping) for row in found if row.id not in known]


def _case_of(row: Row) -> str | None:
    """The code of the case that a row is of; None for rows that are of no case."""
    return json.loads(row["content"]).get("case") if _is_of_cases(CLASSES.get(row["kind"])) else None


def _is_of_cases(cls: type[Any] | None) -> bool:
    return cls is not None and "case" in cls.__dataclass_fields__


def _ids(own: Iterable[Row]) -> list[str]:
    """The marks that the case has had, the newest last."""
    said = (json.loads(row["content"]) for row in own if row["kind"] == KINDS[Case].kind)
    return [one["mark"] for one in said if one.get("mark")]


def _eraser(connection: Connection, case: str, own: Iterable[Row], scope: Scope) -> _Eraser:
    own = list(own)
    zones = {zone for row in own for zone in _zones(json.loads(row["content"]))}
    tombstone = _stone(connection, min(row["id"] for row in own), scope)
    mention = Mention(case, tombstone, journal.names(connection, KINDS[Case].kind, scope), zones)
    shelf = {name for kind in ("body", "chip") for name in journal.names(connection, kind, scope)}
    return _Eraser(mention, frozenset(row["id"] for row in own), shelf)


def _stone(connection: Connection, number: int, scope: Scope) -> str:
    """A name that nothing has: that of the first row, unless it came in with what another book had erased."""

    def is_free(name: str) -> bool:
        taken = select(records.c.id).where(scope.own(), records.c.name.contains(name, autoescape=True)).limit(1)
        return connection.execute(taken).first() is None

    return next(filter(is_free, (f"{_SAID}-{one}" for one in count(number))))


def _zones(said: Any) -> Iterator[str]:
    """The names of zones in plain values."""
    if isinstance(said, dict):
        yield from (one for key, one in said.items() if key == "zone" and isinstance(one, str))
        for inner in said.values():
            yield from _zones(inner)
    elif isinstance(said, list):
        for inner in said:
            yield from _zones(inner)


# ---------------------------------------------------------------- what may stay of them


@dataclass(frozen=True, slots=True)
class _Eraser:
    """Knows the case, which rows are its own, and which samples are the lab's own blanks and stripes."""

    mention: Mention
    own: frozenset[int]
    shelf: Collection[str]

    def names(self, row: Row) -> bool:
        """Whether a row names the case as a whole token."""
        texts = (row["name"], row["source"] or "", *_texts(json.loads(row["content"])))
        return any(map(self.mention.is_in, texts))

    def left_of(self, row: Row) -> tuple[str, str]:
        """The name and the content of what may stay of a row."""
        cls = CLASSES.get(row["kind"])
        if cls is None:  # a fit: plain values under the name of what it is about
            return self.mention.name(row["name"]), canonical(self.mention.out_of_all(json.loads(row["content"])))
        record = _plainer(decode(cls, row["content"]), own=row["id"] in self.own)
        if isinstance(record, Share):
            kind, _, name = record.name.partition("/")
            given = record.shared and not _is_of_cases(CLASSES.get(kind))
            record = replace(record, name=f"{kind}/{self.mention.name(name)}", shared=given)
        said = json.loads(encode(record))
        if self.is_own(row):
            said = self._samples(without_free_text(said))
        record = _decoded(cls, self.mention.out_of_all(said))
        return getattr(record, KINDS[cls].name), encode(record)

    def is_own(self, row: Row) -> bool:
        """Whether a row is of the case: a record of it, or a reading of its samples."""
        reading = row["kind"] == KINDS[Reading].kind
        return row["id"] in self.own or (reading and self.mention.is_in(row["name"]))

    def _samples(self, said: Any) -> Any:
        """Plain values whose samples are the lab's own or the case's: another one's name may say who it is."""
        if isinstance(said, list):
            return [self._samples(one) for one in said]
        if not isinstance(said, dict):
            return said
        return {key: self._sample(one) if key == "sample" else self._samples(one) for key, one in said.items()}

    def _sample(self, name: str) -> str:
        return name if name in self.shelf or self.mention.is_in(name) else self.mention.tombstone


def _decoded(cls: type[Any], said: dict[str, Any]) -> Any:
    """A record of plain values; where it needs a text that went, it says that it was erased."""
    try:
        return decode(cls, canonical(said))
    except BookError:
        return decode(cls, canonical({"why": _SAID, "text": _SAID, "note": _SAID} | said))


def _plainer(record: Any, *, own: bool) -> Any:
    """A record without what tells of a patient beside names and free text."""
    if isinstance(record, Case) and own:
        zones = tuple(CaseZone(zone.tooth, zone.zone, zone.tissue, fired=zone.fired) for zone in record.zones)
        drawn = tuple(Effect(effect.tooth, effect.effect) for effect in record.effects)
        return replace(record, zones=zones, effects=drawn, mark=None, source="")
    if isinstance(record, Photo):
        return replace(record, zones=())
    if isinstance(record, Import):
        return Import(record.file, "")
    if isinstance(record, Correction):
        return replace(record, why=_SAID)
    return record


def _texts(said: Any) -> Iterator[str]:
    if isinstance(said, str):
        yield said
    elif isinstance(said, dict):
        for key, inner in said.items():
            yield key
            yield from _texts(inner)
    elif isinstance(said, list):
        for inner in said:
            yield from _texts(inner)


def _put(connection: Connection, row: Row, name: str, content: str, eraser: _Eraser) -> str:
    """Replace a row by what may stay of it; gives the hash of that."""
    cls = CLASSES.get(row["kind"])
    data = None if cls is not None and eraser.is_own(row) else row["data"]
    said: dict[str, Any] = {"name": name, "content": content, "hash": digest(content, data), "data": data, "salt": ""}
    if cls is not None:
        said |= {one: value for one, value in columns_of(decode(cls, content)) if one != "source"}
    if row["source"] and (eraser.is_own(row) or eraser.mention.is_in(row["source"])):
        said["source"] = None
    own = records.c.lab == row["lab"], records.c.id == row["id"]
    connection.execute(update(records).where(*own).values(**said))
    return str(said["hash"])


# ---------------------------------------------------------------- what searches run on


def _unfind(connection: Connection, rows: Iterable[Row]) -> None:
    index.drop(connection, [row for row in rows if index.is_searched(row["kind"])])


def _find_again(connection: Connection, rows: Iterable[Row], scope: Scope) -> None:
    """Let be found what holds of some rows as they are now."""
    changed = {row["id"] for row in rows if index.is_searched(row["kind"])}
    taken_back = {row.name for row in journal.revisions(connection, KINDS[Correction].kind, scope)}
    names: Mapping[tuple[str, str], None] = {
        (row.kind, row.name): None
        for row in journal.by_id(connection, [(scope.lab, one) for one in sorted(changed)]).values()
    }
    for kind, name in names:
        newest = journal.last_revision(connection, kind, scope, name=name)
        if newest is not None and newest.id in changed and newest.seal not in taken_back:
            row = dict(newest._mapping)
            index.add(connection, [row])
            index.share(connection, row, given=(scope.lab, name) in journal.shared(connection, kind))
