"""How the shelves reach the journal: which kinds of records there are, and the common path to all of them."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Collection, Hashable, Iterable
from contextlib import AbstractContextManager
from datetime import UTC, datetime
from typing import Any, NamedTuple, TypeVar

from sqlalchemy import Connection, Row

from stainbook.apparatus import FurnaceTray, Instrument, Jar, Programme
from stainbook.book import index, journal
from stainbook.book.codec import decode, encode
from stainbook.book.entries import Erased, Import, Share
from stainbook.book.gate import alike, settled
from stainbook.book.journal import Entry, Scope
from stainbook.book.lead_only import needs_lead
from stainbook.book.thing_words import thing_words
from stainbook.errors import InputError, some_of
from stainbook.kept import (
    Choice,
    Correction,
    Decision,
    Firing,
    LabRecipe,
    Operator,
    Outcome,
    Painted,
    Photo,
    Settings,
    StepDone,
)
from stainbook.language import say
from stainbook.notices import tell
from stainbook.permit import LEAD, Permit
from stainbook.records import Body, Case, Chip, GuideTab, Reading, Stain

R = TypeVar("R")
_NAMED_BY_HAND = frozenset({"stain", "body", "instrument", "programme", "operator", "case", "recipe"})


class Kind(NamedTuple):
    """How records of a class are kept."""

    kind: str
    name: str  # the attribute that names the thing
    columns: tuple[str, ...] = ()  # the attributes that are searched
    repeats: str = "newest"  # what is not stored again, as ``journal.append`` takes it


KINDS: dict[type[Any], Kind] = {
    Stain: Kind("stain", "name", ("lot",)),
    Body: Kind("body", "body", ("material", "lot")),
    Chip: Kind("chip", "chip", ("material", "source")),
    GuideTab: Kind("tab", "sample"),
    Reading: Kind("reading", "sample", ("stage", "source"), repeats="any"),
    Import: Kind("import", "file", repeats="any"),
    Instrument: Kind("instrument", "name"),
    Programme: Kind("programme", "programme"),
    Operator: Kind("operator", "operator"),
    Jar: Kind("jar", "jar", ("lot",)),
    FurnaceTray: Kind("tray", "tray", ("stage",)),
    Settings: Kind("settings", "settings"),
    Case: Kind("case", "case", ("stage", "material", "source")),
    Firing: Kind("firing", "firing", ("source",)),
    Decision: Kind("decision", "outcome"),
    Outcome: Kind("outcome", "outcome", ("material", "source")),
    LabRecipe: Kind("recipe", "recipe"),
    Photo: Kind("photo", "photo"),
    Painted: Kind("painted", "painted"),
    Choice: Kind("choice", "choice"),
    StepDone: Kind("step", "step"),
    Correction: Kind("correction", "of"),
    Share: Kind(journal.SHARE, "name"),
    Erased: Kind("erased", "name", repeats="none"),
}
CLASSES: dict[str, type[Any]] = {kind.kind: cls for cls, kind in KINDS.items()}


class Access(ABC):
    """Reads and writes in the name of one lab and one author.

    author : who makes the changes. lab : whose book it is, where several labs share a database; ``""`` for one alone.
    upto : the last row of the journal that is looked at; None: all of it.
    """

    permit: Permit | None = None  # of who looks; None: whoever has the book may do all

    def __init__(self, author: str, *, lab: str = "", upto: int | None = None) -> None:
        self.author = author
        self.scope = Scope(lab, upto)

    @property
    def lab(self) -> str:
        """Whose book this is.

        >>> book.lab
        ''
        """
        return self.scope.lab

    def kept(self, key: Hashable, make: Callable[[], R], *, of: Collection[str] = ()) -> R:
        """Give what follows from the records alone; a book keeps it, inside a transaction it is made each time."""
        return make()

    @abstractmethod
    def _reading(self) -> AbstractContextManager[Connection]: ...

    @abstractmethod
    def _writing(self) -> AbstractContextManager[Connection]: ...

    def _add(self, cls: type[R], records: Iterable[R]) -> int:
        kind = KINDS[cls]
        entries = [entry_of(record) for record in records]
        with self._writing() as connection:
            return len(self._append(connection, entries, repeats=kind.repeats))

    def _append(self, connection: Connection, entries: list[Entry], *, repeats: str) -> list[dict[str, Any]]:
        if self.permit is not None and not self.permit.allows(LEAD) and needs_lead(connection, entries, self.scope):
            self.permit.need(LEAD)
        now = datetime.now(UTC).isoformat(timespec="microseconds")
        rows = journal.append(connection, entries, lab=self.lab, author=self.author, now=now, repeats=repeats)
        index.put(connection, rows)
        first = [row for row in rows if row["revision"] == 1]
        for kind in sorted({row["kind"] for row in first} & _NAMED_BY_HAND):
            self._tell_alike(connection, kind, [row["name"] for row in first if row["kind"] == kind])
        return rows

    def _tell_alike(self, connection: Connection, kind: str, names: Iterable[str]) -> None:
        """Say so where a name that was just stored looks like another one of its kind."""
        new = set(names)
        known = [name for name in journal.names(connection, kind, self.scope) if name not in new]
        pairs = [
            say("{name!r} like {before!r}", name=name, before=before) for name, before in alike(sorted(new), known)
        ]
        if pairs:
            tell(
                say(
                    "{kind}: {pairs} to look at, and another thing: was the same one meant?",
                    kind=thing_words(kind),
                    pairs=some_of(pairs),
                )
            )

    def _newest(self, cls: type[R], *, others: bool = False) -> list[R]:
        """The newest of each thing; with ``others`` also what other labs share, but for names that the lab has."""
        kind = KINDS[cls]
        with self._reading() as connection:
            found = [record_of(cls, row) for row in journal.newest(connection, kind.kind, self.scope)]
            if others:
                own = {getattr(record, kind.name) for record in found}
                theirs = [record_of(cls, row) for row in journal.newest_shared(connection, kind.kind, self.scope)]
                found += [record for record in theirs if getattr(record, kind.name) not in own]
        return found


def entry_of(record: Any, data: bytes | None = None) -> Entry:
    """A record as the journal takes it, and what is kept beside it; raises InputError for what no file could hold."""
    kind, record = KINDS[type(record)], settled(record)
    if not getattr(record, kind.name):
        raise InputError(say("found a {kind} without a name, expected one", kind=thing_words(kind.kind)))
    return Entry(kind.kind, getattr(record, kind.name), encode(record), data, columns_of(record))


def columns_of(record: Any) -> tuple[tuple[str, str | None], ...]:
    """The copies of a record that are searched."""
    return tuple((column, getattr(record, column) or None) for column in KINDS[type(record)].columns)


def record_of(cls: type[R], row: Row[Any]) -> R:
    """A row of the journal as the record that it is."""
    return decode(cls, row.content, source=row.source)
