"""The part of the book that tells of work: cases, firings, outcomes, recipes with their lives, corrections."""

from __future__ import annotations

import secrets
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, Row, select

from stainbook.apparatus import Instrument, Programme
from stainbook.book import index, journal
from stainbook.book.access import CLASSES, KINDS, Access, entry_of, record_of
from stainbook.book.book_tables import records
from stainbook.book.entries import ERASED_NAME, Entered, Erased, Hit, Revised, Share
from stainbook.book.journal import Entry
from stainbook.book.thing_words import thing_words
from stainbook.book.told_again import corrected, each_name_once, only_adds
from stainbook.book.wanted import BookQuery
from stainbook.errors import UnknownNameError
from stainbook.kept import Choice, Correction, Decision, Firing, LabRecipe, Operator, Outcome, Painted
from stainbook.language import say
from stainbook.records import Case, Reading

if TYPE_CHECKING:
    from stainbook.book.history import Line
    from stainbook.book.verify import Checked

MARK_BYTES = 8  # of a case's mark: two of a million cases share one in 1 of 10**7 labs


class Worked(Access):
    """Reads and writes; each write gives how many of its records were new.

    >>> from stainbook.book import open_book
    >>> with open_book("sqlite:///worked.db", author="bench-1") as own:
    ...     own.add_cases([crown]), own.add_cases([crown])
    ...     own.add_firings([Firing("W-7", "2026-03-01T14:05:00Z", kind="stain")])
    ...     own.take_back(own.firings_of("W-7")[0], why="another piece")
    ...     own.firings_of("W-7"), own.verify().faults
    (1, 0)
    1
    ((), ())
    """

    # ------------------------------------------------------------ benches, cases: the newest holds

    def add_operators(self, operators: Iterable[Operator]) -> int:
        """Store operators that differ from the newest of their name."""
        return self._add(Operator, operators)

    def operators(self) -> dict[str, Operator]:
        """The newest of each operator by name."""
        return {one.operator: one for one in self._newest(Operator)}

    def add_instruments(self, instruments: Iterable[Instrument]) -> int:
        """Store instruments that differ from the newest of their name."""
        return self._add(Instrument, instruments)

    def instruments(self) -> dict[str, Instrument]:
        """The newest of each instrument by name."""
        return dict(self.kept("instruments", lambda: {one.name: one for one in self._newest(Instrument)}))

    def add_programmes(self, programmes: Iterable[Programme]) -> int:
        """Store firing programmes that differ from the newest of their name."""
        return self._add(Programme, programmes)

    def programmes(self) -> dict[str, Programme]:
        """The newest of each firing programme by name."""
        return {one.programme: one for one in self._newest(Programme)}

    def add_cases(self, cases: Iterable[Case]) -> int:
        """Store cases that differ from the newest of their code; where their files lie is not kept."""
        stored = 0
        with self._writing() as connection:
            for case in cases:  # one by one: its mark depends on those before it
                entry = entry_of(self._marked(connection, replace(case, folder=None)))
                stored += len(self._append(connection, [entry], repeats=KINDS[Case].repeats))
        return stored

    def _marked(self, connection: Connection, case: Case) -> Case:
        """A case with the mark that it has had, else the one that it brings if no other case has it, else a new one."""
        row = journal.last_revision(connection, KINDS[Case].kind, self.scope, name=case.case)
        before = None if row is None else record_of(Case, row)
        if before is not None and (before.mark or replace(before, source="") == replace(case, source="")):
            return replace(case, mark=before.mark)
        free = case.mark and self._code_of(connection, case.mark) in (None, case.case)
        return replace(case, mark=case.mark if free else secrets.token_hex(MARK_BYTES))

    def _code_of(self, connection: Connection, mark: str) -> str | None:
        """The code of the case that has or had a mark, None where the lab has no such case."""
        said = records.c.content.contains(f'"mark":"{mark}"', autoescape=True)
        found = select(records.c.name).where(self.scope.own(), records.c.kind == KINDS[Case].kind, said)
        return connection.scalar(found.limit(1))

    def code_of(self, mark: str) -> str | None:
        """The code of the case that has a mark, None where the book holds no such case."""
        with self._reading() as connection:
            return self._code_of(connection, mark)

    def note_erased(self, marks: Iterable[str]) -> None:
        """Keep that cases were erased elsewhere which this book does not hold, so that they do not come in later."""
        known = self.erased_marks()
        stones = [Erased(f"{ERASED_NAME}{mark}", (), mark=mark) for mark in dict.fromkeys(marks) if mark not in known]
        with self._writing() as connection:
            self._append(connection, list(map(entry_of, stones)), repeats="none")

    def erased_marks(self) -> tuple[str, ...]:
        """The marks of the cases that were erased here, in that order."""
        with self._reading() as connection:
            stones = [record_of(Erased, row) for row in journal.revisions(connection, KINDS[Erased].kind, self.scope)]
        return tuple(one.mark for one in stones if one.mark)

    def cases(self) -> dict[str, Case]:
        """The newest of each case by its code."""
        return {one.case: one for one in self._newest(Case)}

    # ------------------------------------------------------------ firings and outcomes: corrected, never edited

    def add_firings(self, firings: Iterable[Firing], *, why: str | None = None) -> int:
        """Store firings; one that contradicts the same firing in the book needs ``why``, and corrects it."""
        return self._add_once(Firing, firings, why)

    def firings(self) -> tuple[Firing, ...]:
        """All firings as they hold now, but for those that were taken back."""
        with self._reading() as connection:
            withdrawn = self._withdrawn(connection)
            rows = journal.newest(connection, "firing", self.scope)
            return tuple(record_of(Firing, row) for row in rows if row.seal not in withdrawn)

    def firings_of(self, case: str) -> tuple[Firing, ...]:
        """The firings of one case as they hold now, the first one first."""
        with self._reading() as connection:
            withdrawn = self._withdrawn(connection)
            rows = {row.name: row for row in journal.beginning(connection, ["firing"], self.scope, f"{case} ")}
        newest = [record_of(Firing, row) for row in rows.values() if row.seal not in withdrawn]
        return tuple(sorted((one for one in newest if one.case == case), key=lambda one: one.fired_at))

    def add_outcomes(self, outcomes: Iterable[Outcome], *, why: str | None = None) -> int:
        """Store outcomes; one that contradicts the same outcome in the book needs ``why``, and corrects it.

        Raises InputError for a contradiction without ``why``; then nothing is stored.
        """
        return self._add_once(Outcome, outcomes, why)

    def outcomes(self) -> tuple[Outcome, ...]:
        """All outcomes as they hold now, but for those that were taken back."""
        with self._reading() as connection:
            withdrawn = self._withdrawn(connection)
            rows = journal.newest(connection, "outcome", self.scope)
            return tuple(record_of(Outcome, row) for row in rows if row.seal not in withdrawn)

    def outcomes_of(self, case: str) -> tuple[Outcome, ...]:
        """The outcomes of one case as they hold now, in the order stored."""
        with self._reading() as connection:
            withdrawn = self._withdrawn(connection)
            rows = {row.name: row for row in journal.beginning(connection, ["outcome"], self.scope, f"{case} ")}
        newest = [
            record_of(Outcome, row)
            for row in sorted(rows.values(), key=lambda row: row.id)
            if row.seal not in withdrawn
        ]
        return tuple(one for one in newest if one.case == case)

    def add_decisions(self, decisions: Iterable[Decision]) -> int:
        """Store what somebody says of outcomes, where that differs from what was said last."""
        return self._add(Decision, decisions)

    def decisions(self) -> dict[str, Decision]:
        """What holds of outcomes that were decided, by the outcome's name."""
        return {one.outcome: one for one in self._newest(Decision) if one.verdict != "open"}

    def add_choices(self, choices: Iterable[Choice]) -> int:
        """Store what is meant to be done next where it differs from the newest choice of its zone."""
        return self._add(Choice, choices)

    def choices(self, case: str) -> dict[tuple[int, str], Choice]:
        """The newest choice of each zone of a case; none that was taken back."""
        with self._reading() as connection:
            rows = journal.beginning(connection, ["choice"], self.scope, f"{case} ")
            found = [record_of(Choice, row) for row in rows]
        newest = {one.key: one for one in found if one.case == case}
        return {key: one for key, one in newest.items() if one.kind}

    def choices_made(self, case: str) -> tuple[Entered, ...]:
        """All choices of a case in the order in which they were made, those taken back too."""
        with self._reading() as connection:
            rows = list(journal.beginning(connection, ["choice"], self.scope, f"{case} "))
        return tuple(one for one in map(entered_of, rows) if one.record.case == case)

    def add_painted(self, painted: Painted) -> int:
        """Store what lies on a case unfired; a piece that was wiped off has no zones."""
        return self._add(Painted, [painted])

    def all_painted(self) -> tuple[Painted, ...]:
        """What was painted and not fired since, of every case that anything lies on."""
        known = (self.painted(one.case) for one in self._newest(Painted) if one.zones)
        return tuple(one for one in known if one is not None)

    def painted(self, case: str) -> Painted | None:
        """What was painted on a case and not fired since, None where nothing lies on it."""
        with self._reading() as connection:
            row = journal.last_revision(connection, "painted", self.scope, name=f"{case} painted")
        found = record_of(Painted, row) if row is not None else None
        if found is None or not found.zones:
            return None
        return None if any(one.fired_at >= found.painted_at for one in self.firings_of(case)) else found

    def take_back(self, record: Reading | Firing | Outcome, *, why: str, by: Reading | None = None) -> None:
        """Let a reading, firing or outcome hold no longer, and say why; ``by`` is the reading that holds instead.

        Raises UnknownNameError where the book does not hold the record.
        """
        old, kind = entry_of(record), KINDS[type(record)]
        with self._writing() as connection:
            rows = journal.revisions(connection, kind.kind, self.scope, name=old.name)
            found = [row for row in rows if row.hash == old.hash]
            if not found:
                raise UnknownNameError(thing_words(kind.kind), old.name, ())
            withdrawn = self._withdrawn(connection)
            found = [row for row in found if row.seal not in withdrawn] or found
            new = self._append(connection, [entry_of(by)], repeats="any") if by else []
            said = [Correction(row.seal, why, new[0]["seal"] if new else None) for row in found]
            self._append(connection, list(map(entry_of, said)), repeats="newest")
            index.drop(connection, [dict(row._mapping) for row in found if row.kind == "outcome"])

    def corrections(self) -> dict[str, Correction]:
        """What was taken back, by the seal of its row."""
        return {one.of: one for one in self._newest(Correction)}

    def _withdrawn(self, connection: Connection) -> set[str]:
        return {row.name for row in journal.revisions(connection, "correction", self.scope)}

    def _add_once(self, cls: type[Any], records: Iterable[Any], why: str | None) -> int:
        pairs = [(record, entry_of(record)) for record in records]
        with self._writing() as connection:
            return sum(self._add_each(connection, cls, some, why) for some in each_name_once(pairs))

    def _add_each(self, connection: Connection, cls: type[Any], pairs: list[tuple[Any, Entry]], why: str | None) -> int:
        withdrawn = self._withdrawn(connection)
        known = journal.newest_of(connection, KINDS[cls].kind, self.scope, [entry.name for _, entry in pairs])
        old: dict[str, Row[Any]] = {}
        new, again = [], []
        for record, entry in pairs:
            row = known.get(entry.name)
            if row is not None and row.seal in withdrawn:
                again.append(entry)  # it was taken back and is told once more
                continue
            if row is not None:
                before = record_of(cls, row)
                if before.told == record.told:
                    continue
                if not only_adds(before.told, record.told):
                    old[entry.name] = corrected(row, why)
            new.append(entry)
        rows = self._append(connection, new, repeats="newest")
        rows += self._append(connection, again, repeats="none")
        said = [Correction(old[row["name"]].seal, str(why), row["seal"]) for row in rows if row["name"] in old]
        self._append(connection, list(map(entry_of, said)), repeats="newest")
        if cls is Outcome:
            self._reopen(connection, old.keys())
        return len(rows)

    def _reopen(self, connection: Connection, corrected: Iterable[str]) -> None:
        """What was decided of an outcome was said of what it told before it was corrected."""
        rows = (journal.last_revision(connection, "decision", self.scope, name=name) for name in corrected)
        decided = [record_of(Decision, row) for row in rows if row is not None]
        again = [replace(one, verdict="open", why="the outcome was corrected") for one in decided]
        self._append(connection, list(map(entry_of, again)), repeats="newest")

    # ------------------------------------------------------------ recipes: every revision is kept

    def revise_recipe(self, recipe: LabRecipe) -> Revised:
        """Store a recipe as the next revision of its name.

        ``based_on`` names the revision that it was made from; where another was stored meanwhile both are kept,
        and the other one is handed back to be shown.
        """
        entry = entry_of(recipe)
        with self._writing() as connection:
            last = journal.last_revision(connection, "recipe", self.scope, name=recipe.recipe)
            rows = self._append(connection, [entry], repeats="newest")
        if last is None or not rows:
            return Revised(last.revision if last else rows[0]["revision"])
        unseen = last if recipe.based_on is not None and last.revision > recipe.based_on else None
        return Revised(rows[0]["revision"], entered_of(unseen) if unseen is not None else None)

    def recipes(self) -> dict[str, LabRecipe]:
        """The newest revision of each recipe by name, those that other labs share too."""
        return {one.recipe: one for one in self._newest(LabRecipe, others=True)}

    # ------------------------------------------------------------ all kinds alike

    def entered(self, kind: str, name: str) -> tuple[Entered, ...]:
        """All revisions of a thing, oldest first, with who stored them and when."""
        with self._reading() as connection:
            return tuple(map(entered_of, journal.revisions(connection, kind, self.scope, name=name)))

    def newest_entered(self, kind: str) -> tuple[Entered, ...]:
        """The newest revision of each thing of a kind, those that other labs share too."""
        with self._reading() as connection:
            rows = list(journal.newest(connection, kind, self.scope))
            rows += journal.newest_shared(connection, kind, self.scope)
            return tuple(map(entered_of, rows))

    def search(self, wanted: BookQuery) -> tuple[Hit, ...]:
        """What the book holds that is wanted: nearest colour first, else newest first."""
        from stainbook.book.search import find

        with self._reading() as connection:
            found = find(connection, wanted, lab=self.lab)
            rows = journal.by_id(connection, [place for place, _ in found])
        hits = [Hit(entered_of(rows[place]), apart) for place, apart in found if place in rows]
        return tuple(hit for hit in hits if _meets(hit.entered, wanted))

    def erase_case(self, case: str, *, why: str | None = None) -> Erased:
        """Take what names a case out of the book; nameless colours and a tombstone stay.

        Raises UnknownNameError where there is no such case.
        """
        from stainbook.book.erase import erase

        with self._writing() as connection:
            tombstone = erase(connection, case.strip(), scope=self.scope, why=why)
            if tombstone is None:
                raise UnknownNameError(
                    say("case"), case, (row.name for row in journal.newest(connection, "case", self.scope))
                )
            self._append(connection, [entry_of(tombstone)], repeats="none")
        return tombstone

    def verify(self) -> Checked:
        """Check the journal of all labs: each record, their chain, and how it ends."""
        from stainbook.book.verify import check

        with self._reading() as connection:
            return check(connection, lab=self.lab)

    def history(self) -> tuple[Line, ...]:
        """The lab's whole journal as told, line by line."""
        from stainbook.book.history import told

        with self._reading() as connection:
            return told(connection, self.scope)

    def restore(self, lines: Sequence[Line]) -> None:
        """Put a history into a book that holds nothing yet of its lab, with its authors and times.

        Raises InputError for a book that holds something, and for a line that says nothing a book can hold.
        """
        from stainbook.book.history import restore

        with self._writing() as connection:
            restore(connection, lines, self.scope)

    def share(self, kind: str, name: str, *, shared: bool = True) -> None:
        """Show a thing to the other labs of this database, or no longer.

        Raises UnknownNameError where the lab has no such thing.
        """
        if kind not in ("stain", "tab", "recipe", "outcome"):
            raise UnknownNameError(say("kind that can be shared"), kind, ("stain", "tab", "recipe", "outcome"))
        with self._writing() as connection:
            row = journal.last_revision(connection, kind, self.scope, name=name)
            if row is None:
                known = [found.name for found in journal.newest(connection, kind, self.scope)]
                raise UnknownNameError(thing_words(kind), name, known)
            self._append(connection, [entry_of(Share(f"{kind}/{name}", shared))], repeats="newest")
            index.share(connection, dict(row._mapping), given=shared)


def entered_of(row: Row[Any]) -> Entered:
    """A row with what it says; the record is None for kinds without a class, such as fits."""
    cls = CLASSES.get(row.kind)
    record = record_of(cls, row) if cls else None
    return Entered(
        row.id, row.kind, row.name, row.revision, row.created_at, row.author, row.lab, row.hash, record, row.seal
    )


def _meets(entered: Entered, wanted: BookQuery) -> bool:
    facets = {(what, value.casefold()) for what, value in index.facets(entered.kind, entered.record)}
    return all((what, value.casefold()) in facets for what, value in wanted.conditions)
