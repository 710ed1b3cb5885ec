"""The part of the book that tells of pieces: all that happened to one, as events, and steps told or taken back."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import Row

from stainbook.book import index, journal
from stainbook.book.access import entry_of, record_of
from stainbook.book.entries import Entered
from stainbook.book.events import CaseRows, Event, events_of, samples_of_zones
from stainbook.book.fold import Life, fold
from stainbook.book.teeth_renamed import as_called_now
from stainbook.book.worked import Worked, entered_of
from stainbook.kept import Correction, StepDone
from stainbook.records import Case, Stain

_LIVED = ("firing", "outcome", "painted", "choice", "step")  # kinds of rows that are named after a case and a time
_ID = 16  # hexadecimal digits of a seal, which a random salt makes


class Lives(Worked):
    """Reads and writes; each write gives how many of its records were new.

    The examples of its methods that write use:

    >>> from stainbook.book import open_book
    >>> own = open_book("sqlite:///lives.db", author="bench-1")
    >>> own.add_cases([crown]), own.add_steps([StepDone("W-7", "cleaned", "2026-03-01T09:00:00Z")])
    (1, 1)
    """

    def add_steps(self, steps: Iterable[StepDone]) -> int:
        """Store steps of the way of pieces; a step that the book holds already changes nothing.

        >>> step = StepDone("W-7", "blasted", "2026-03-01T08:00:00Z")
        >>> own.add_steps([step]), own.add_steps([step])
        (1, 0)
        """
        return self._add(StepDone, steps)

    def steps(self) -> tuple[StepDone, ...]:
        """Give the steps of the way of all pieces, without those that were undone.

        >>> [one.did for one in own.steps()][-1]
        'blasted'
        """
        with self._reading() as connection:
            gone = self._withdrawn(connection)
            rows = journal.newest(connection, "step", self.scope)
            return tuple(record_of(StepDone, row) for row in rows if row.seal not in gone)

    def case_rows(self, case: str) -> CaseRows | None:
        """Give all rows that tell of a case, none that was taken back; None where the book does not know it.

        >>> len(book.case_rows("W-7").cases), book.case_rows("W-8")
        (1, None)
        """
        start = f"{case} "
        with self._reading() as connection:
            gone = self._withdrawn(connection)
            cases = tuple(map(entered_of, journal.revisions(connection, "case", self.scope, name=case)))
            if not cases:
                return None
            cases = as_called_now(cases)
            names = _samples([one.record for one in cases])
            found: dict[str, list[Entered]] = {kind: [] for kind in _LIVED}
            for row in journal.beginning(connection, _LIVED, self.scope, start):
                one = entered_of(row)
                if one.record.case == case:
                    found[row.kind].append(one)
            read = [entered_of(row) for row in journal.named(connection, "reading", self.scope, names)]
        first = self._first_told()
        return CaseRows(
            cases,
            _holding(found["firing"], gone),
            _holding(found["outcome"], gone),
            sorted(_as_first_told((one for one in read if one.seal not in gone), first), key=lambda one: one.number),
            _as_first_told(found["painted"], first),
            found["choice"],
            _as_first_told((one for one in found["step"] if one.seal not in gone), first),
            self._known_stains(),
            gone,
        )

    def rows_naming(self, case: str, samples: Sequence[str]) -> tuple[Entered, ...]:
        """Give the rows that tell of zones of a case, and the readings of some samples, as they hold now, in order.

        Of paintings, of which the newest row alone holds, every row; choices, which are wishes, are not in it.

        >>> [(one.kind, one.name) for one in book.rows_naming("W-7", ["W-7-11-middle"])]
        [('reading', 'W-7-11-middle')]
        """
        with self._reading() as connection:
            gone = self._withdrawn(connection)
            start = f"{case} "
            found = [entered_of(row) for row in journal.named(connection, "reading", self.scope, samples)]
            for kind in ("outcome", "decision"):
                found += _holding(_of_case(case, journal.beginning(connection, [kind], self.scope, start)), gone)
            found += _of_case(case, journal.beginning(connection, ("painted", "step", "photo"), self.scope, start))
        return tuple(sorted((one for one in found if one.seal not in gone), key=lambda one: one.number))

    def _first_told(self) -> dict[str, Row[Any]]:
        """The rows that told facts first which stand under another name now, by the seals of those that hold."""

        def found() -> dict[str, Row[Any]]:
            with self._reading() as connection:
                said = (record_of(Correction, one) for one in journal.revisions(connection, "correction", self.scope))
                before = {one.by: one.of for one in said if one.same and one.by}
                first = {seal: _first(seal, before) for seal in before}
                told = journal.sealed(connection, list(dict.fromkeys(first.values())), self.scope)
                rows = {row.seal: row for row in told}
            return {seal: rows[one] for seal, one in first.items() if one in rows}

        return self.kept("first told", found, of=("correction",))

    def tell_otherwise(self, rows: Mapping[str, Any], *, why: str) -> None:
        """Let rows be told by other records of the same facts, by their seals: when and by whom they were told stays.

        >>> done = own.events("W-7")[-1]
        >>> own.tell_otherwise({done.id: replace(done.told, why="by hand")}, why="an example")
        >>> own.events("W-7")[-1].told.why, own.events("W-7")[-1].told_at == done.told_at
        ('by hand', True)
        """
        with self._writing() as connection:
            old = {row.seal: row for row in journal.sealed(connection, list(rows), self.scope)}
            entries = [entry_of(record, old[seal].data) for seal, record in rows.items()]
            new = self._append(connection, entries, repeats="none")
            said = [Correction(seal, why, row["seal"], same=True) for seal, row in zip(rows, new, strict=True)]
            self._append(connection, list(map(entry_of, said)), repeats="newest")
            index.drop(connection, [dict(row._mapping) for row in old.values() if row.kind == "outcome"])

    def _known_stains(self) -> dict[str, Stain]:
        return self.kept("stains", lambda: {one.name: one for one in self._newest(Stain, others=True)})

    def events(self, case: str) -> tuple[Event, ...]:
        """Give what happened to a case and what was wished of it, in order; empty where the book does not know it.

        >>> [one.what for one in book.events("W-7")]
        ['opened', 'read']
        """

        def told() -> tuple[Event, ...]:
            rows = self.case_rows(case)
            return events_of(rows) if rows is not None else ()

        return self.kept(("events", case), told)

    def life(self, case: str) -> Life | None:
        """Give what happened to a case and its state after that; None where the book does not know it.

        >>> book.life("W-7").state.stage, book.life("W-8")
        ('sintered', None)
        """

        def folded() -> Life | None:
            events = self.events(case)
            return Life(events, fold(events)) if events else None

        return self.kept(("life", case), folded)

    def case_ids(self) -> dict[str, str]:
        """Give a random id of each case, by its code: what pages' addresses name in place of it.

        >>> [(code, len(one)) for code, one in book.case_ids().items()]
        [('W-7', 16)]
        """
        with self._reading() as connection:
            return {name: seal[:_ID] for name, seal in journal.first_seals(connection, "case", self.scope)}

    def case_heads(self) -> list[tuple[str, int, bool]]:
        """Give each case's code, the number of the newest row that bears its name, and whether the piece is out.

        Cost: one pass over the names of cases, firings, steps and paintings; no case is folded.

        >>> [(code, out) for code, _, out in book.case_heads()]
        [('W-7', False)]
        """
        with self._reading() as connection:
            gone = self._withdrawn(connection)
            newest: dict[str, int] = {}
            out: dict[str, bool] = {}
            for row in journal.newest(connection, "case", self.scope):
                newest[row.name] = row.id
                out[row.name] = row.stage == "delivered"
            for kind in ("firing", "painted", "step"):
                for number, content, seal in journal.contents(connection, kind, self.scope):
                    code = json.loads(content).get("case", "")
                    if code in newest and seal not in gone:
                        newest[code] = max(newest[code], number)
                        if kind == "step":
                            out[code] = _is_out(json.loads(content), before=out[code])
        return [(code, number, out[code]) for code, number in newest.items()]

    def undo_rows(self, seals: Iterable[str], *, why: str) -> None:
        """Let rows of the journal hold no longer, by their seals, and say why.

        >>> done = own.events("W-7")[-1]
        >>> own.undo_rows([done.id], why="not done")
        >>> done in own.events("W-7")
        False
        """
        with self._writing() as connection:
            said = [Correction(one, why) for one in seals]
            rows = self._append(connection, list(map(entry_of, said)), repeats="newest")
            gone = journal.sealed(connection, [row["name"] for row in rows], self.scope)
            index.drop(connection, [dict(row._mapping) for row in gone if row.kind == "outcome"])


def _first(seal: str, before: Mapping[str, str]) -> str:
    while seal in before:
        seal = before[seal]
    return seal


def _as_first_told(entered: Iterable[Entered], first: Mapping[str, Row[Any]]) -> list[Entered]:
    """Rows at the place, by the author and at the time at which what they tell was told first."""
    return [
        replace(one, number=row.id, created_at=row.created_at, author=row.author)
        if (row := first.get(one.seal)) is not None
        else one
        for one in entered
    ]


def _is_out(step: dict[str, Any], *, before: bool) -> bool:
    """Whether a piece is out of the lab after a step of its way; one is opened at any stage."""
    if step["did"] in ("opened", "stated"):
        return step.get("stage") == "delivered"
    return step["did"] == "delivered" or (before and step["did"] != "returned")


def _samples(wishes: Sequence[Case]) -> list[str]:
    """The names under which readings of a case's zones stand."""
    return list(dict.fromkeys(name for names in samples_of_zones(wishes).values() for name in names))


def _of_case(case: str, rows: Iterable[Row[Any]]) -> tuple[Entered, ...]:
    return tuple(one for one in map(entered_of, rows) if one.record.case == case)


def _holding(entered: Iterable[Entered], gone: Collection[str]) -> tuple[Entered, ...]:
    """The newest revision of each thing, in the order stored, none that was taken back."""
    newest = {one.name: one for one in entered}
    return tuple(one for one in newest.values() if one.seal not in gone)
