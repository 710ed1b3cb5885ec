"""What was exported and taken in again is the same book: authors, times, corrections, revisions, fits, the erased."""

from __future__ import annotations

import contextlib
import hashlib
import itertools
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from stainbook.book import Book, open_book
from stainbook.book.access import CLASSES
from stainbook.book.wanted import BookQuery
from stainbook.errors import FileError, InputError
from stainbook.kept import Firing, Photo
from stainbook.records import Reading, Stain, Viewing
from stainbook.work.lab import bundle, history_files
from stainbook.work.lab.bundle import write_bundle
from stainbook.work.lab.exchange import ImportChoices, export, import_
from stainbook.work.lab.folder import content_of
from tests.book.worked import TEASEL_TWICE, case, outcome, recipe

JPEG = cv2.imencode(".jpg", np.full((40, 60, 3), 128, np.uint8))[1].tobytes()
CODES = ("W-1042", "W-7")


def reading(code: str, n: int) -> Reading:
    return Reading(f"{code}-11-cervical", lab=(70.0 + n, 0.0, 9.0), viewing=Viewing(), source=f"{code}.csv, row {n}")


STEPS: dict[str, Callable[[Book, str, int], Any]] = {
    "a stain": lambda book, code, n: book.add_stains([Stain("husk", lot=f"24-{n}"), Stain("teasel", notes=code)]),
    "a reading": lambda book, code, n: book.add_readings([reading(code, n)]),
    "a reading taken back": lambda book, code, n: book.take_back(
        reading(code, n), why="the wrong tooth", by=reading(code, n + 1)
    ),
    "a case": lambda book, code, n: book.add_cases([case(code)]),
    "a firing": lambda book, code, n: book.add_firings([Firing(code, "2026-03-02T10:40:00Z", minutes=n)], why="typo"),
    "an outcome": lambda book, code, n: book.add_outcomes([outcome(code)]),
    "an outcome corrected": lambda book, code, n: book.add_outcomes([outcome(code, operator=f"b{n}")], why="hands"),
    "an outcome taken back": lambda book, code, n: book.take_back(outcome(code), why="another piece"),
    "a recipe": lambda book, code, n: book.revise_recipe(recipe(f"of {code}", notes=f"note {n}")),
    "an outcome shared": lambda book, code, n: book.share("outcome", outcome(code).outcome, shared=n != 1),
    "a recipe shared": lambda book, code, n: book.share("recipe", f"of {code}", shared=n != 1),
    "a fit": lambda book, code, n: book.add_fit("of a test", {"a": n / 7}, data=bytes([n, 0, 255])),
    "a photo": lambda book, code, n: book.add_photo(Photo(code, "2026-03-02T10:40:00Z", "piece", 60, 40, ()), JPEG),
    "a case erased": lambda book, code, n: book.erase_case(code, why="asked for"),
}


def bytes_in(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def views(book: Book) -> Any:
    """What people see of a book's own, without what a store numbers of its own."""
    kinds = [kind for kind in CLASSES if kind not in ("correction", "erased")]
    own = [one for kind in kinds for one in book.newest_entered(kind) if one.lab == book.lab]
    seen = [(one.kind, one.name, one.revision, one.created_at, one.author, one.record) for one in own]
    revised = [[one.record for one in book.entered(kind, name)] for kind, name, *_ in seen]
    taken_back = [(one.why, one.by is None) for one in book.corrections().values()]
    photos = [book.photos(code) for code in CODES]
    found = [hit.entered.name for hit in book.search(BookQuery((72.0, 1.0, 18.0), 5.0)) if hit.entered.lab == book.lab]
    return seen, revised, taken_back, content_of(book), book.fits(), photos, found


NUMBERS = itertools.count()
PHASES = (Phase.explicit, Phase.reuse, Phase.generate)  # making a fault smaller takes minutes here


@settings(max_examples=5, deadline=None, phases=PHASES, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(st.tuples(st.sampled_from(sorted(STEPS)), st.sampled_from(CODES), st.integers(0, 2)), max_size=20),
    st.booleans(),
)
def test_any_history_comes_back_and_goes_out_the_same(
    book_url: str, tmp_path: Path, steps: list[tuple[str, str, int]], packed: bool
) -> None:
    number = next(NUMBERS)
    first, again = (tmp_path / f"{number}-{which}{'.zip' if packed else ''}" for which in ("first", "again"))
    with open_book(book_url, lab=f"north {number}") as north, open_book(book_url, lab=f"south {number}") as south:
        north.add_stains([Stain("clear", kind="clear")])
        for step, code, n in steps:
            north.author = f"bench-{n}"
            with contextlib.suppress(InputError):  # such as taking back what is not there
                STEPS[step](north, code, n)
        export(north, first)
        import_(south, first)
        assert views(south) == views(north)
        assert south.verify().faults == ()
        export(south, again)
        assert bytes_in(first) == bytes_in(again) if first.is_dir() else first.read_bytes() == again.read_bytes()
        rows = south.last_change()
        import_(south, first)
        assert south.last_change() == rows


# ---------------------------------------------------------------- what it is not taken for


@pytest.fixture
def lab(tmp_path: Path) -> Path:
    """A folder with a book that was corrected, exported to ``out``."""
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}", author="bench-2") as book:
        book.add_stains([Stain("husk", lot="1")])
        book.add_stains([Stain("husk", lot="2")])
        book.add_cases([case()])
        book.add_readings([reading("W-1042", 1)])
        book.add_outcomes([outcome(), outcome(tooth=21)])
        book.add_outcomes([outcome(layers=TEASEL_TWICE)], why="the other jar")
        book.take_back(outcome(tooth=21), why="another piece was read")
        book.revise_recipe(recipe())
        book.add_fit("of a test", {"a": 1.5}, data=b"\0\1")
        export(book, tmp_path / "out")
    return tmp_path


def test_the_history_reads_as_who_did_what_and_why(lab: Path) -> None:
    lines = [json.loads(one) for one in (lab / "out" / "history" / "0001.jsonl").read_text().splitlines()]
    assert [(one["n"], one["by"]) for one in lines] == [(n, "bench-2") for n in range(1, len(lines) + 1)]
    assert [one["record"] for one in lines if one["kind"] == "correction"] == [
        {"of": {"line": 5}, "by": {"line": 7}, "why": "the other jar"},
        {"of": {"line": 6}, "why": "another piece was read"},
    ]


def test_a_book_that_holds_something_takes_single_things_and_no_history(lab: Path) -> None:
    with open_book(f"sqlite:///{lab / 'south.db'}", author="south") as south:
        south.add_stains([Stain("teasel")])
        assert import_(south, lab / "out").history == 0
        assert [one.author for one in south.entered("stain", "husk")] == ["south"]
        assert south.fits() == ()


def test_what_is_chosen_comes_without_the_history(lab: Path) -> None:
    with open_book(f"sqlite:///{lab / 'south.db'}") as south:
        import_(south, lab / "out", ImportChoices(rename={("recipe", "warm neck"): "warm"}))
        assert list(south.recipes()) == ["warm"]
        assert len(south.entered("stain", "husk")) == 1


def test_without_the_history_only_what_holds_now_goes_out(lab: Path) -> None:
    with open_book(f"sqlite:///{lab / 'lab.db'}") as book:
        assert export(book, lab / "now", history=False).history == 0
        assert export(book, lab / "out").history == 11
        export(book, lab / "out", history=False)
    assert bytes_in(lab / "now") == bytes_in(lab / "out")
    assert not any(name.startswith("history") for name in bytes_in(lab / "now"))


def test_files_edited_by_hand_are_taken_upon_the_history(lab: Path) -> None:
    stains = lab / "out" / "stains.yaml"
    stains.write_text(stains.read_text().replace("lot: '2'", "lot: '3'").replace("lot: 2", "lot: 3"))
    (lab / "out" / "recipes" / "warm_neck.yaml").unlink()
    with open_book(f"sqlite:///{lab / 'south.db'}", author="south") as south:
        said = import_(south, lab / "out")
        assert said.warnings == ["recipe 'warm neck' is in the history alone"]
        found = [(one.author, one.record.lot) for one in south.entered("stain", "husk")]
        assert found == [("bench-2", "1"), ("bench-2", "2"), ("south", "3")]
        assert south.verify().faults == ()


def test_a_long_history_is_several_files_and_one_too_large_no_bundle(lab: Path, monkeypatch) -> None:
    monkeypatch.setattr(history_files, "_SIZE_A_FILE", 1000)
    with open_book(f"sqlite:///{lab / 'lab.db'}") as book, open_book(f"sqlite:///{lab / 'south.db'}") as south:
        export(book, lab / "long")
        assert len([name for name in bytes_in(lab / "long") if name.endswith(".jsonl")]) > 3
        assert import_(south, lab / "long").history == 11
        assert south.history() == book.history()
        monkeypatch.setattr(bundle, "MOST_BYTES", 4000)
        with pytest.raises(InputError, match="export a folder"):
            export(book, lab / "x.zip")
    assert not list(lab.glob("x.zip*"))


def _line(change: Callable[[dict[str, Any]], object], number: int = 1) -> Callable[[Path], None]:
    def apply(folder: Path) -> None:
        file = folder / "history" / "0001.jsonl"
        lines = [json.loads(one) for one in file.read_text().splitlines()]
        change(lines[number - 1])
        file.write_text("".join(f"{json.dumps(one)}\n" for one in lines))

    return apply


def _more(kind: str, record: dict[str, Any], data: bytes | None = None, **said: Any) -> Callable[[Path], None]:
    def apply(folder: Path) -> None:
        file = folder / "history" / "0001.jsonl"
        line = {"n": 12, "at": "2026-03-02T10:40:00+00:00", "by": "x", "kind": kind, "record": record, **said}
        if data is not None:
            line["data"] = hashlib.sha256(data).hexdigest()
            (folder / "history" / f"{line['data']}.bin").write_bytes(data)
        file.write_text(f"{file.read_text()}{json.dumps(line)}\n")

    return apply


def _flip(folder: Path) -> None:
    (file,) = (folder / "history").glob("*.bin")
    file.write_bytes(b"\0\2")


PHOTO = {"case": "W-1042", "taken_at": "2026-03-02T10:40:00Z", "subject": "piece", "width": 1, "height": 1, "zones": []}


@pytest.mark.parametrize(
    "change",
    [
        _line(lambda one: one.update(kind="magic")),
        _line(lambda one: one.update(kind="fit")),
        _line(lambda one: one.update(by="")),
        _line(lambda one: one.update(by=["x"])),
        _line(lambda one: one.update(at="yesterday")),
        _line(lambda one: one.update(at="2026-03-02T10:40:00")),
        _line(lambda one: one.update(at="2026-03-02T10:40:00+05:00")),
        _line(lambda one: one.update(n=2)),
        _line(lambda one: one.update(more=1)),
        _line(lambda one: one.update(record={"kind": "surface"})),
        _line(lambda one: one.update(record=[])),
        _line(lambda one: one.update(record={"name": "husk", "lot": float("nan")})),
        _line(lambda one: one.update(record={"name": "husk", "lot": "other than the files say"}), 2),
        _line(lambda one: one["record"].update(of={"line": 99}), 8),
        _line(lambda one: one["record"].update(of={"line": "5"}), 8),
        _line(lambda one: one.update(data="../../etc/passwd"), 11),
        _more("stain", {"name": "teasel"}),
        _more("stain", {"name": "husk", "lot": "2"}, b"beside it"),
        _more("erased", {"name": "erased-1", "rows": [99]}),
        _more("photo", PHOTO, b"no picture"),
        _more("photo", PHOTO, cv2.imencode(".jpg", np.zeros((8, 1600, 3), np.uint8))[1].tobytes()),
        _more("photo", PHOTO, cv2.imencode(".png", np.zeros((40, 60, 3), np.uint8))[1].tobytes()),
        _more("photo", PHOTO | {"zones": [[11, "cervical", []]]}, JPEG),
        _more("fit", {"version": "0"}, b"no arrays", name="optics"),
        _more("settings", {"settings": "lab", "thresholds": ["those of nobody"]}),
        _more("settings", {"settings": "lab", "viewing": {"illuminant": "candle", "observer": 2}}),
        _more("settings", {"settings": "lab", "strengths": [0.5, 2.0]}),
        _more("settings", {"settings": "lab", "scale_step": 0.0}),
        _flip,
        lambda folder: (folder / "history" / "0001.jsonl").write_text("[" * 100_000),
    ],
)
def test_a_history_that_does_not_hold_refuses_the_bundle_whole(lab: Path, change: Callable[[Path], object]) -> None:
    change(lab / "out")
    (lab / "out" / "manifest.json").unlink()
    write_bundle(lab / "out", lab / "x.zip")
    with open_book(f"sqlite:///{lab / 'south.db'}") as south:
        with pytest.raises(FileError) as caught:
            import_(south, lab / "x.zip")
        with pytest.raises(FileError):
            import_(south, lab / "x.zip", preview=True)
        assert south.counts() == {}
    assert "\n" not in str(caught.value)


def test_few_bytes_that_many_lines_name_fill_no_disk(lab: Path, monkeypatch) -> None:
    for number in (12, 13, 14):
        _more("fit", {"a": number}, b"x" * 700, name="of a test", n=number)(lab / "out")
    with open_book(f"sqlite:///{lab / 'south.db'}") as south:
        monkeypatch.setattr(history_files, "MOST_AGAIN", 1399)
        with pytest.raises(FileError, match="once more"):
            import_(south, lab / "out")
        assert south.counts() == {}
        monkeypatch.setattr(history_files, "MOST_AGAIN", 1400)
        monkeypatch.setattr(history_files, "MOST_DATA", 699)
        with pytest.raises(FileError, match="packed file of at most"):
            import_(south, lab / "out")
        monkeypatch.setattr(history_files, "MOST_DATA", 700)
        import_(south, lab / "out")
        assert len(south.fits("of a test")) == 4
