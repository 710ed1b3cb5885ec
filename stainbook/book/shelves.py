"""What can be asked of the book and put into it, in records; whole and inside a transaction alike."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, Row

from stainbook.apparatus import FurnaceTray, Jar
from stainbook.book import journal
from stainbook.book.access import entry_of, record_of
from stainbook.book.codec import canonical
from stainbook.book.entries import Entered, Fit, Import
from stainbook.book.journal import Entry
from stainbook.book.lives import Lives
from stainbook.book.worked import entered_of
from stainbook.kept import Photo, Settings
from stainbook.records import Body, Chip, GuideTab, Reading, Stain, newest_reading

_FIT = "fit"


class Shelves(Lives):
    """Reads and writes; each write gives how many of its records were new.

    The examples of its methods that write use:

    >>> from stainbook.book import open_book
    >>> own = open_book("sqlite:///shelves.db", author="bench-1")
    >>> own.add_stains([Stain("barley", lot="24-101")]), own.add_bodies([Body("plate-pale")])
    (1, 1)
    >>> own.add_fit("chips", {"exponent": 0.9}), own.add_settings(Settings(scale_step=0.02))
    (1, 1)
    """

    # ------------------------------------------------------------ stains, bodies, chips, guides: the newest holds

    def add_stains(self, stains: Iterable[Stain]) -> int:
        """Store stains that differ from the newest of their name.

        >>> own.add_stains([Stain("moss")]), own.add_stains([Stain("moss")])
        (1, 0)
        """
        return self._add(Stain, stains)

    def stains(self) -> dict[str, Stain]:
        """Give the newest of each stain by name, in the order in which they first came.

        >>> own.stains()["barley"].lot
        '24-101'
        """
        return {stain.name: stain for stain in self._newest(Stain, others=True)}

    def add_bodies(self, bodies: Iterable[Body]) -> int:
        """Store blanks and plates that differ from the newest of their name.

        >>> own.add_bodies([Body("plate-dark")])
        1
        """
        return self._add(Body, bodies)

    def bodies(self) -> dict[str, Body]:
        """Give the newest of each blank and plate by name.

        >>> own.bodies()["plate-pale"].body
        'plate-pale'
        """
        return {body.body: body for body in self._newest(Body)}

    def add_chips(self, chips: Iterable[Chip]) -> int:
        """Store stripes that differ from the newest of their name.

        >>> own.add_chips([Chip("barley-1", "plate-pale", (Layer(Pot.of({"barley": 1 / 4})),))])
        1
        """
        pairs = [(chip, entry_of(chip)) for chip in chips]
        with self._writing() as connection:
            gone = {row.name for row in self._chips(connection, withdrawn=True)}
            again = [entry for chip, entry in pairs if chip.chip in gone]  # it was withdrawn and is told once more
            new = [entry for chip, entry in pairs if chip.chip not in gone]
            stored = self._append(connection, new, repeats="newest")
            return len([*stored, *self._append(connection, again, repeats="none")])

    def chips(self, *, withdrawn: bool = False) -> tuple[Chip, ...]:
        """Give the newest of each stripe that holds, or of each that was ``withdrawn``.

        >>> [one.chip for one in book.chips()]
        []
        """
        with self._reading() as connection:
            return tuple(record_of(Chip, row) for row in self._chips(connection, withdrawn=withdrawn))

    def withdraw_chips(self, names: Collection[str], *, why: str) -> None:
        """Let stripes hold no longer, and say why; to store them once more undoes it.

        >>> own.withdraw_chips(["barley-1"], why="never painted")
        >>> own.chips(), [one.chip for one in own.chips(withdrawn=True)]
        ((), ['barley-1'])
        """
        with self._reading() as connection:
            seals = [row.seal for row in self._chips(connection, withdrawn=False) if row.name in names]
        self.undo_rows(seals, why=why)

    def _chips(self, connection: Connection, *, withdrawn: bool) -> list[Row[Any]]:
        gone = self._withdrawn(connection)
        return [row for row in journal.newest(connection, "chip", self.scope) if (row.seal in gone) == withdrawn]

    def add_guide(self, tabs: Iterable[GuideTab]) -> int:
        """Store zones of guide tabs that differ from the newest of their name.

        >>> own.add_guide([GuideTab("house", "oat-mid", "middle", "tooth")])
        1
        """
        return self._add(GuideTab, tabs)

    def guide(self) -> tuple[GuideTab, ...]:
        """Give the zones of all tabs of all guides.

        >>> [one.sample for one in book.guide()]
        []
        """
        return tuple(self._newest(GuideTab, others=True))

    # ------------------------------------------------------------ readings and imports: never edited, never twice

    def add_readings(self, readings: Iterable[Reading]) -> int:
        """Store readings; one whose content the book holds already changes nothing.

        >>> book.add_readings([reading])
        0
        """
        return self._add(Reading, readings)

    def readings(self, sample: str | None = None, stage: str | None = None) -> tuple[Reading, ...]:
        """Give readings in the order stored, of one sample and one stage where these are given, but those taken back.

        >>> [one.lab for one in book.readings("W-7-11-middle")]
        [(72.9, 0.5, 13.0)]
        """
        with self._reading() as connection:
            withdrawn = self._withdrawn(connection)
            rows = journal.revisions(connection, "reading", self.scope, name=sample, stage=stage)
            return tuple(record_of(Reading, row) for row in rows if row.seal not in withdrawn)

    def read_often(self, times: int) -> list[str]:
        """Samples of which so many readings were stored; what was taken back counts."""
        with self._reading() as connection:
            return [row.name for row in journal.revisions(connection, "reading", self.scope, revision=times)]

    def find_reading(self, sample: str, stage: str | None = None, *, case: str | None = None) -> Reading | None:
        """Give the reading that a reference means: the newest ``taken_at``, else the one stored last; None if none.

        case : whose sample it is; a photo takes the place of an instrument's reading after a firing of it.

        >>> book.find_reading("W-7-11-middle").lab, book.find_reading("W-8")
        ((72.9, 0.5, 13.0), None)
        """
        return self.newest_of(self.readings(sample, stage), case=case)

    def newest_of(self, found: Sequence[Reading], *, case: str | None = None) -> Reading | None:
        """Give of a sample's readings the one that a reference means, as ``find_reading`` has it.

        >>> book.newest_of([reading]) == reading
        True
        """
        both = {reading.is_photo for reading in found} == {True, False}
        return newest_reading(found, self.fired(case) if case and both else ())

    def readings_of(self, samples: Iterable[str]) -> dict[str, list[Reading]]:
        """Give the readings of some samples in the order stored, none that was taken back; in one query.

        >>> list(book.readings_of(["W-7-11-middle", "W-8"]))
        ['W-7-11-middle']
        """
        found: dict[str, list[Reading]] = {}
        with self._reading() as connection:
            withdrawn = self._withdrawn(connection)
            for row in journal.named(connection, "reading", self.scope, list(samples)):
                if row.seal not in withdrawn:
                    found.setdefault(row.name, []).append(record_of(Reading, row))
        return found

    def fired(self, case: str) -> list[str]:
        """Give when a case was fired, ISO 8601.

        >>> list(book.fired("W-7"))
        []
        """
        return [one.fired_at for one in self.firings_of(case)]

    def add_imports(self, imports: Iterable[Import]) -> int:
        """Note the files that the book was filled from.

        >>> own.add_imports([Import("readings.csv", 64 * "0")])
        1
        """
        return self._add(Import, imports)

    def imports(self) -> tuple[Import, ...]:
        """Give all imports in the order stored.

        >>> len(book.imports())
        0
        """
        with self._reading() as connection:
            return tuple(record_of(Import, row) for row in journal.revisions(connection, "import", self.scope))

    # ------------------------------------------------------------ photos: a small copy of each, gone with its case

    def add_photo(self, photo: Photo, jpeg: bytes) -> int:
        """Store a reduced copy of a photo; the same one twice changes nothing.

        >>> photo = Photo("W-7", "2026-03-01T14:05:00Z", "piece", 60, 40, ())
        >>> own.add_photo(photo, b"a JPEG"), own.add_photo(photo, b"a JPEG")
        (1, 0)
        """
        with self._writing() as connection:
            return len(self._append(connection, [entry_of(photo, jpeg)], repeats="any"))

    def photos(self, case: str) -> tuple[tuple[Photo, bytes], ...]:
        """Give the photos of a case with their JPEG, the one taken last at the end.

        >>> [jpeg for _, jpeg in book.photos("W-7")]
        []
        """
        with self._reading() as connection:
            gone = self._withdrawn(connection)
            rows = journal.beginning(connection, "photo", self.scope, f"{case} ")
            found = [(record_of(Photo, row), row.data) for row in rows if row.seal not in gone]
        return tuple(sorted((pair for pair in found if pair[0].case == case), key=lambda pair: pair[0].taken_at))

    # ------------------------------------------------------------ jars: the newest holds

    def add_jars(self, jars: Iterable[Jar]) -> int:
        """Store jars and bottles that differ from the newest of their stain and lot.

        >>> own.add_jars([Jar("barley", "24-101", opened_on="2026-03-01")])
        1
        """
        return self._add(Jar, jars)

    def jars(self) -> tuple[Jar, ...]:
        """Give the newest of each jar, in the order in which they first came.

        >>> [one.jar for one in own.jars()]
        ['barley: 24-101']
        """
        return tuple(self._newest(Jar))

    # ------------------------------------------------------------ trays: the newest revision of each holds

    def add_tray(self, tray: FurnaceTray) -> int:
        """Store a tray that went in, or what became of it.

        >>> own.add_tray(FurnaceTray("tray 1", ("W-7",), "2026-03-01T14:05:00Z", "stain", minutes=24.0))
        1
        """
        return self._add(FurnaceTray, [tray])

    def trays(self, state: str = "in") -> tuple[Entered, ...]:
        """Give the trays that are in the furnace, or of another state, with who said so and when; the first one first.

        Cost: one pass over the newest row of each tray; only those of the state are decoded.

        >>> [one.record.cases for one in own.trays()], own.trays("out")
        ([('W-7',)], ())
        """
        with self._reading() as connection:
            rows = journal.newest(connection, "tray", self.scope)
            return tuple(entered_of(row) for row in rows if row.stage == state)

    # ------------------------------------------------------------ settings: the newest holds

    def add_settings(self, settings: Settings) -> int:
        """Store the lab's settings where they differ from the newest.

        >>> own.add_settings(own.settings())  # nothing differs
        0
        """
        return self._add(Settings, [settings])

    def settings(self) -> Settings:
        """Give the lab's settings as they hold now.

        >>> own.settings().scale_step  # g
        0.02
        """
        with self._reading() as connection:
            row = journal.last_revision(connection, "settings", self.scope, name=Settings().settings)
            return Settings() if row is None else record_of(Settings, row)

    # ------------------------------------------------------------ fits: every one is kept

    def add_fit(self, scope: str, document: Mapping[str, Any], *, data: bytes | None = None) -> int:
        """Store a fit as the next revision of its scope and give its number, from 1.

        document : plain values, as JSON holds them. data : arrays, packed as the caller likes.

        >>> own.add_fit("outcomes", {"hand": 1.1}), own.add_fit("outcomes", {"hand": 1.2})
        (1, 2)
        """
        entry = Entry(_FIT, scope, canonical(document), data)
        with self._writing() as connection:
            (row,) = self._append(connection, [entry], repeats="none")
        return int(row["revision"])

    def fit(self, scope: str, revision: int | None = None) -> Fit | None:
        """Give a revision of a scope's fit, the newest when None; None where there is none.

        >>> own.fit("chips").document, own.fit("fading")
        ({'exponent': 0.9}, None)
        """
        with self._reading() as connection:
            row = journal.last_revision(connection, _FIT, self.scope, name=scope, revision=revision)
            return None if row is None else _fit(row)

    def fits(self, scope: str | None = None) -> tuple[Fit, ...]:
        """Give all revisions of a scope's fit, or of all scopes, in the order stored.

        >>> [one.revision for one in own.fits("chips")]
        [1]
        """
        with self._reading() as connection:
            return tuple(_fit(row) for row in journal.revisions(connection, _FIT, self.scope, name=scope))

    def names(self, kind: str) -> list[str]:
        """Give the names of the lab's things of a kind, in the order in which they first came.

        >>> book.names("case")
        ['W-7']
        """
        with self._reading() as connection:
            return journal.names(connection, kind, self.scope)

    def counts(self) -> dict[str, int]:
        """Give how many different things of each kind the book holds.

        >>> book.counts()
        {'case': 1, 'reading': 1}
        """
        with self._reading() as connection:
            return journal.counts(connection, self.scope)

    def stored_since(self, number: int, most: int) -> list[tuple[str, str]]:
        """Give kind and name of what was stored after a change, at most so many.

        >>> book.stored_since(0, most=9)
        [('case', 'W-7'), ('reading', 'W-7-11-middle')]
        """
        with self._reading() as connection:
            return journal.stored_since(connection, self.scope, number, most)

    def last_change(self) -> int:
        """Give a number that grows with each record stored but choices: the same number, nothing to work out anew.

        >>> book.last_change()
        2
        """
        with self._reading() as connection:
            return journal.last_change(connection, self.scope)

    def newest_row(self) -> int:
        """Give the number of the lab's newest row, of whatever kind; 0 in an empty book. One query.

        >>> book.newest_row()
        2
        """
        with self._reading() as connection:
            return journal.last_row(connection, self.scope)


def _fit(row: Row[Any]) -> Fit:
    return Fit(row.name, row.revision, json.loads(row.content), row.data, row.created_at, row.author)
