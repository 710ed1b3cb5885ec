"""An erased case is nowhere in the book any more: not in a row of any kind, the index, the file or its log."""

from __future__ import annotations

import json
import random
import sqlite3
import string
import zipfile
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import create_engine, text

from stainbook.apparatus import FurnaceTray, Instrument, Jar, Programme
from stainbook.book import Book, open_book
from stainbook.book.access import KINDS, entry_of
from stainbook.book.entries import Erased, Import, Share
from stainbook.book.mention import Mention
from stainbook.book.scrub import scrub
from stainbook.book.wanted import BookQuery
from stainbook.cli import main
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
    Layer,
    Pot,
    Reading,
    SampleRef,
    Stain,
    Target,
    Viewing,
)
from stainbook.work.lab.exchange import export, import_
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
        Chip: [Chip("c1", "reed", LAYERS, source=f"benches/{code}/chips.csv: row 2")],
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
        FurnaceTray: [FurnaceTray("tray 1", (code, "W-7"), WHEN, "stain")],
        Jar: [Jar("husk", "24-117", note=f"opened for {code}")],
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
        for number in range(chance.randint(1, 9)):  # long texts lie on pages of their own
            said = Effect(11, f"s{number}", note=" ".join([code] * 700))
            book.add_cases([replace(case(code), effects=(said,))])
        with hearing() as heard:
            book.erase_case(code)
            assert heard == []
        assert other + code in book.cases()
        left = b"".join(path.read_bytes() for path in folder.iterdir()).replace((other + code).encode(), b"")
        assert code.encode() not in left
        book.erase_case(other + code)
    assert not [path for path in folder.iterdir() if code.encode() in path.read_bytes()]


def test_a_log_of_writes_that_cannot_be_emptied_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(scrub.__kwdefaults__, "timeout", 0.5)
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


# ---------------------------------------------------------------- exchange and files


def test_a_bundle_tells_that_a_case_was_erased_and_it_is_erased_there_too(tmp_path: Path) -> None:
    with open_book(f"sqlite:///{tmp_path / 'a.db'}") as lab, open_book(f"sqlite:///{tmp_path / 'b.db'}") as other:
        fill(lab, "W-1042")
        export(lab, tmp_path / "before.zip", history=False)
        other.add_stains([Stain("teasel")])
        import_(other, tmp_path / "before.zip")
        assert other.code_of(lab.cases()["W-1042"].mark) == "W-1042"
        lab.erase_case("W-1042")
        export(lab, tmp_path / "after.zip")
        with zipfile.ZipFile(tmp_path / "after.zip") as bundle:
            assert not [name for name in bundle.namelist() if b"W-1042" in bundle.read(name) or "W-1042" in name]
        preview = import_(other, tmp_path / "after.zip", preview=True)
        assert [(one.name, one.action) for one in preview.items if one.status == "erased there"] == [
            ("W-1042", "erase")
        ]
        import_(other, tmp_path / "after.zip")
        assert "W-1042" not in other.cases()
        assert "W-1042" not in everything(f"sqlite:///{tmp_path / 'b.db'}")
        assert SECRET not in everything(f"sqlite:///{tmp_path / 'b.db'}")
        again = import_(lab, tmp_path / "before.zip")  # an old bundle does not bring it back
        assert "W-1042" not in everything(f"sqlite:///{tmp_path / 'a.db'}")
        assert {one.name for one in again.items if one.kind == "case" and one.status == "erased here"} == {"W-1042"}
        assert lab.verify().faults == other.verify().faults == ()


def test_what_was_erased_elsewhere_does_not_come_in_later(tmp_path: Path) -> None:
    with open_book(f"sqlite:///{tmp_path / 'a.db'}") as lab, open_book(f"sqlite:///{tmp_path / 'b.db'}") as other:
        lab.add_cases([case(), case("W-7")])
        export(lab, tmp_path / "before.zip", history=False)
        lab.erase_case("W-1042")
        export(lab, tmp_path / "after.zip", history=False)
        other.add_stains([Stain("teasel")])
        import_(other, tmp_path / "after.zip")
        import_(other, tmp_path / "before.zip")
        assert "W-1042" not in other.cases()
        assert "W-7" in other.cases()


def test_a_copied_case_file_does_not_carry_a_mark_to_another_case(tmp_path: Path) -> None:
    with open_book(f"sqlite:///{tmp_path / 'a.db'}") as book:
        book.add_cases([case()])
        mark = book.cases()["W-1042"].mark
        book.add_cases([replace(case("W-7"), mark=mark)])
        assert book.code_of(mark) == "W-1042"
        assert book.cases()["W-7"].mark not in (None, mark)
        book.add_cases([replace(case(), stage="stained")])
        assert book.cases()["W-1042"].mark == mark


def test_the_command_takes_the_cases_own_files_and_lists_the_others(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    folder, book = tmp_path / "cases", f"sqlite:///{tmp_path / 'lab.db'}"
    folder.mkdir()
    monkeypatch.chdir(folder)
    text = "case: W-10\nzones: [{tooth: 11, zone: cervical}]\n"
    for name in ("W-10.yaml", "W-10.yaml.was"):
        (folder / name).write_text(text)
    (folder / "W-1042.yaml").write_text(text.replace("W-10", "W-1042"))
    (folder / "plan.yaml").write_text("case: W-7\nzones: [{tooth: 11, zone: cervical}]\noperator: as on W-10\n")
    (folder / "W-10-readings.csv").write_text("sample,L,a,b\nx,70,1,2\n")
    with open_book(book) as opened:
        fill(opened, "W-10")
        fill(opened, "W-1042")
    assert main(["--book", book, "book", "erase", "W-10"]) == 2
    assert "W-10.yaml, W-10.yaml.was" in capsys.readouterr().err
    assert (folder / "W-10.yaml").exists()
    assert main(["--book", book, "book", "erase", "W-10", "--yes", "--json"]) == 0
    done = json.loads(capsys.readouterr().out)
    assert sorted(path.name for path in folder.iterdir()) == ["W-10-readings.csv", "W-1042.yaml", "plan.yaml"]
    assert done["files"] == ["W-10.yaml", "W-10.yaml.was"]
    assert "W-10-readings.csv, plan.yaml" in done["beyond_reach"][0]
    with open_book(book) as opened:
        assert list(opened.cases())[-1] == "W-1042"
