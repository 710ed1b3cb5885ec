"""An erased case is nowhere in the book any more: not in a row of any kind, the index, the file or its log."""

from __future__ import annotations

import random
import sqlite3
import string
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import create_engine, text

from stainbook.book import Book, open_book
from stainbook.book.access import KINDS, entry_of
from stainbook.book.entries import Erased, Import, Share
from stainbook.book.mention import Mention
from stainbook.book.wanted import BookQuery
from stainbook.kept import (
    Choice,
    Correction,
    Decision,
    Firing,
    LabRecipe,
    Operator,
    Outcome,
    Painted,
    PaintedZone,
    Photo,
    Settings,
    StepDone,
)
from stainbook.notices import hearing
from stainbook.records import (
    Body,
    Case,
    CaseZone,
    Chip,
    Effect,
    GuideTab,
    Instrument,
    Layer,
    Pot,
    Programme,
    Reading,
    SampleRef,
    Stain,
    Target,
    Viewing,
)
from tests.book.worked import case, outcome, recipe

WHEN = "2026-03-02T10:40:00Z"
SECRET = "left-handed patient"
LAYERS = (Layer(Pot.of({"husk": 0.25})),)


def told_of(code: str) -> dict[type[Any], list[Any]]:
    """Records of every kind that name a case, as a lab may have them; a new kind is added here."""
    said = f"{SECRET} of {code}, second visit"
    reading = Reading(f"{code}-11-cervical", lab=(70.0, 1.0, 12.0), viewing=Viewing(), notes=said, source=f"{code}.csv")
    zone = CaseZone(11, "cervical", "tooth", now=SampleRef(reading.sample), target=Target(SampleRef(f"{code} wish")))
    return {
        Stain: [Stain("husk", notes=f"thin coats; jar used up on {code}")],
        Body: [Body("reed", material="zirconia", lot=f"{code} lot")],
        Chip: [Chip("c1", "reed", LAYERS, source=f"/home/lab/{code}/chips.csv: row 2")],
        GuideTab: [GuideTab("trial", f"{code}-11", "cervical", "tooth")],
        Reading: [
            reading,
            replace(reading, sample=f"{code}-patient-11-cervical"),
            replace(reading, sample=f"{code} {SECRET} smile"),
            replace(reading, sample="gum-b", notes=None, source=f"{code}_before.csv: row 2"),
        ],
        Import: [Import(f"{code}.yaml", "0" * 64)],
        Instrument: [Instrument("clip", notes=f"checked before {code}")],
        Programme: [Programme("glaze-770", notes=f"longer for {code}")],
        Operator: [Operator("bench-2", notes=f"did {code}")],
        Settings: [Settings(lab=f"North, see {code}")],
        Case: [
            Case(code, (zone,), effects=(Effect(11, "halo", place=SECRET, note=said),)),
            replace(case("W-7"), effects=(Effect(11, "halo", note=f"as on {code}"),)),
        ],
        Firing: [Firing(code, WHEN, clinic=SECRET)],
        Decision: [Decision(code, 11, "cervical", WHEN, "true", why=said)],
        Outcome: [replace(outcome(code), note=said, after=reading, source=f"{code}-outcome.yaml")],
        LabRecipe: [replace(recipe(), recipe=f"neck of {code}", notes=f"first on {code}", why=said)],
        Photo: [Photo(code, WHEN, "piece", 10, 10, ((11, "cervical", ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0))),), said)],
        Painted: [Painted(code, WHEN, (PaintedZone(11, "cervical", LAYERS),))],
        Choice: [Choice(code, 11, "cervical", "add", LAYERS)],
        StepDone: [StepDone(code, "noted", WHEN, why=said)],
        Correction: [],  # made by taking something back
        Share: [],  # made by sharing
        Erased: [],  # made by erasing
    }


def fill(book: Book, code: str) -> None:
    """Store all of it, take an outcome back, share the recipe, learn something of the case."""
    for cls, records in told_of(code).items():
        data = b"\xff\xd8 a picture" if cls is Photo else None
        with book._writing() as connection:
            book._append(connection, [entry_of(one, data) for one in records], repeats="any")
    book.add_cases([replace(told_of(code)[Case][0], stage="stained")])  # which gives it a mark
    book.take_back(told_of(code)[Outcome][0], why=f"wrong piece: {code}")
    book.share("recipe", f"neck of {code}")
    book.share("tab", f"trial/{code}-11/cervical")
    book.add_fit("outcomes", {"held": {f"{code} 11 cervical {WHEN}": [1.0, 2.0]}, "note": f"most from {code}"})


def everything(url: str) -> str:
    """All that the store says when asked."""
    engine = create_engine(url)
    with engine.connect() as connection:
        rows = [row for name in ("records", "head") for row in connection.execute(text(f"SELECT * FROM {name}"))]
    engine.dispose()
    return "\n".join(map(repr, rows))


def test_every_kind_of_record_is_tried() -> None:
    assert told_of("W-1").keys() == KINDS.keys()


def test_no_row_of_any_kind_names_it_and_all_else_stays(book: Book, book_url: str) -> None:
    fill(book, "W-1042")
    counts = book.counts()
    stone = book.erase_case("W-1042", why="asked for by the clinic of W-1042")
    said = everything(book_url)
    assert "W-1042" not in said
    assert SECRET not in said
    checked = book.verify()
    assert checked.faults == ()
    assert book.stains()["husk"].notes == f"thin coats; {stone.name}"
    assert book.cases()["W-7"].effects[0].note == stone.name
    assert {one.tab for one in book.guide()} == {f"{stone.name}-11"}
    assert book.find_reading("gum-b") is not None
    assert book.photos(stone.name)[0][1] is None
    assert book.fit("outcomes").document["held"] == {f"{stone.name} 11 cervical {WHEN}": [1.0, 2.0]}
    assert book.counts() == {**counts, "erased": 1}


def test_it_is_found_by_no_search_and_the_index_is_that_of_the_records(book: Book) -> None:
    fill(book, "W-1042")
    shared = len(book.search(BookQuery(conditions=(("kind", "recipe"),))))
    book.erase_case("W-1042")
    assert book.search(BookQuery(conditions=(("word", "1042"),))) == ()
    assert len(book.search(BookQuery(conditions=(("kind", "recipe"),)))) == shared
    before = book.verify()
    book.rebuild_index()
    assert book.verify() == before
    assert before.faults == ()


@pytest.mark.parametrize("other", ["W-1042", "W-10-2", "A-W-10", "W-100", "XW-10", "W-10a"])
def test_a_longer_code_is_another_case(book: Book, other: str) -> None:
    fill(book, "W-10")
    fill(book, other)
    book.erase_case("W-10")
    assert book.cases()[other].stage == "stained"
    assert book.find_reading(f"{other}-11-cervical").notes == f"{SECRET} of {other}, second visit"
    assert book.firings_of(other)[0].clinic == SECRET
    assert not book.entered("case", "W-10")
    assert book.verify().faults == ()


@pytest.mark.parametrize("seed", range(5))
def test_no_byte_of_any_file_holds_a_random_code(tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)
    code, other = ("".join(chance.choices(string.ascii_uppercase, k=12)) for _ in range(2))
    folder = tmp_path / "books"
    url = f"sqlite:///{folder / 'lab.db'}"
    with open_book(url) as book:
        fill(book, other + code)  # a longer code that holds it
        fill(book, code)
        book.add_cases(
            [replace(case(code), lots=((f"s{n}", " ".join([code] * 900)),)) for n in range(chance.randint(1, 9))]
        )
        with hearing() as heard:
            book.erase_case(code)
            assert heard == []
        assert other + code in book.cases()
        left = b"".join(path.read_bytes() for path in folder.iterdir()).replace((other + code).encode(), b"")
        assert code.encode() not in left
        book.erase_case(other + code)
    assert not [path for path in folder.iterdir() if code.encode() in path.read_bytes()]


def test_a_log_of_writes_that_cannot_be_emptied_is_told(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'lab.db'}"
    with open_book(url) as book, closing(sqlite3.connect(tmp_path / "lab.db", isolation_level=None)) as other:
        fill(book, "W-1042")
        other.execute("BEGIN")
        other.execute("SELECT count(*) FROM records").fetchone()
        with hearing() as heard:
            book.erase_case("W-1042")
        other.execute("COMMIT")
        assert len(heard) == 1
        assert "close it, then erase again" in heard[0]


def test_what_cannot_be_reached_is_listed(book: Book, book_url: str, tmp_path: Path) -> None:
    said = " ".join(book.beyond_reach())
    assert "backups" in said
    assert ("WAL" in said) == book_url.startswith("postgresql")
    if book_url.startswith("sqlite"):
        book.copy_to(tmp_path / "lab-copy.db")
        assert "lab-copy.db" in " ".join(book.beyond_reach())


@pytest.mark.parametrize(
    ("said", "left"),
    [
        ("W-10", "gone"),
        ("W-10-11-cervical", "gone-11-cervical"),
        ("W-10-patient-11-ridge", "gone-patient-11-ridge"),
        ("W-10 11 cervical 2026-03-02T10:40:00Z", "gone 11 cervical 2026-03-02T10:40:00Z"),
        ("W-10-11-cervical-f2", "gone-11-cervical-f2"),
        ("W-10 Miller 11", "gone-n1"),
        ("W-1042", "W-1042"),
        ("W-10-2-11-cervical", "W-10-2-11-cervical"),
        ("husk", "husk"),
    ],
)
def test_of_a_name_only_what_names_nobody_stays(said: str, left: str) -> None:
    assert Mention("W-10", "gone", ["W-10", "W-10-2"], ["ridge"]).name(said) == left
