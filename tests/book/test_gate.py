"""What comes into the book: nothing that files would refuse, nothing that nobody can see, no time to come unasked."""

from __future__ import annotations

import unicodedata
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from stainbook.book import Book, open_book
from stainbook.book.gate import LONGEST_NAME, alike, looks
from stainbook.book.history import Line
from stainbook.cli import main
from stainbook.clock import ahead_is_meant
from stainbook.errors import AheadError, InputError
from stainbook.kept import Firing, Operator
from stainbook.notices import hearing
from stainbook.records import CaseZone, LabRef, Reading, Stain, Target, Viewing
from stainbook.work.lab.exchange import export, import_
from tests.book.worked import case, outcome

GOOD = Reading("x", lab=(70.0, 1.0, 2.0), viewing=Viewing())
GREY = Reading("x", wavelengths=tuple(map(float, range(400, 701, 10))), reflectance=(0.5,) * 31)


@pytest.fixture
def book(tmp_path: Path) -> Any:
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as opened:
        yield opened


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (replace(GOOD, lab=(774.0, 1.0, 2.0)), r"L\* 774"),
        (replace(GOOD, lab=(-1.0, 1.0, 2.0)), r"L\* -1"),
        (replace(GOOD, lab=(70.0, 201.0, 2.0)), r"a\* 201"),
        (replace(GREY, reflectance=(*GREY.reflectance[:-1], 1.3)), "reflectance of 0.5 to 1.3"),
        (replace(GREY, reflectance=(-0.1, *GREY.reflectance[1:])), "reflectance of -0.1"),
        (replace(GOOD, surface="mat"), "surface 'mat'"),
        (replace(GOOD, tissue="bone"), "tissue 'bone'"),
        (replace(GOOD, sample="  "), "without a sample"),
        (replace(GOOD, sample="x" * (LONGEST_NAME + 1)), "201 characters"),
        (replace(GOOD, sample="a\nb"), "U\\+000A"),
        (replace(GOOD, notes="bell \x07"), "U\\+0007"),
        (replace(GOOD, notes="turned \u202e round"), "U\\+202E"),
    ],
)
def test_a_reading_that_files_refuse_the_book_refuses(book: Book, wrong: Reading, said: str) -> None:
    with pytest.raises(InputError, match=said) as caught:
        book.add_readings([GOOD, wrong])
    assert "\n" not in str(caught.value)
    assert book.counts() == {}


def test_a_colour_of_a_target_or_an_outcome_is_held_to_the_same(book: Book) -> None:
    wrong = LabRef((774.0, 0.0, 0.0), Viewing())
    zone = CaseZone(11, "cervical", "tooth", target=Target(wrong))
    with pytest.raises(InputError, match=r"W-1042.*774"):
        book.add_cases([replace(case(), zones=(zone,))])
    with pytest.raises(InputError, match=r"774"):
        book.add_outcomes([outcome(expected=wrong)])
    assert book.counts() == {}


def test_all_that_the_book_takes_can_be_exported_and_taken_in_again(book: Book, tmp_path: Path) -> None:
    edges = [
        replace(GOOD, sample=" edge ", lab=(108.0, -200.0, 200.0)),
        replace(GREY, reflectance=(0.0, 1.2) * 15 + (1.0,)),
    ]
    book.add_readings([*edges, replace(GOOD, sample="two", notes=" first line\nsecond; =1+1\n", repeats=4000)])
    book.add_stains(
        [Stain("=cmd|' /C calc'!A0", lot="-1+1"), Stain("'quoted", lot="'=x"), Stain("@home", notes="=1\n+2")]
    )
    export(book, tmp_path / "out.zip")
    with open_book(f"sqlite:///{tmp_path / 'other.db'}") as other:
        import_(other, tmp_path / "out.zip")
        assert other.readings() == book.readings()
        assert other.stains() == book.stains()


@pytest.mark.parametrize(
    "odd", ["\u200b", "\u200f", "\u202e", "\u00ad", "\ufeff", "\u2028", "\ue000", "\ud800", "\x1b"]
)
def test_a_character_that_nobody_sees_is_refused_in_names(book: Book, odd: str) -> None:
    with pytest.raises(InputError, match=f"U\\+{ord(odd):04X}"):
        book.add_stains([Stain(f"hu{odd}sk")])
    assert book.counts() == {}


def test_names_are_kept_composed_and_found_either_way(book: Book) -> None:
    book.add_stains([Stain(unicodedata.normalize("NFD", "café ")), Stain("café")])
    assert list(book.stains()) == ["café"]
    assert book.entered("stain", unicodedata.normalize("NFD", "café"))


def test_a_name_that_looks_like_another_is_told_once(book: Book) -> None:
    with hearing() as heard:
        book.add_stains([Stain("husk")])
        assert heard == []
        book.add_stains([Stain("Husk"), Stain("\uff48usk"), Stain("teasel")])
        book.add_stains([Stain("Husk", lot="2")])
    assert len(heard) == 1
    assert heard[0].startswith("stain: 'Husk' like 'husk'")
    assert "'\uff48usk' like" in heard[0]


def test_lookalikes_by_case_width_dash_space_and_what_is_not_seen() -> None:
    assert len(set(map(looks, ("W-1042", "w\u20111042", "\uff37-1042", "W-10\u200b42", " W-1042")))) == 1
    assert looks("W-1042") != looks("W-1043")
    assert list(alike(["a", "A", "b"], ["c"])) == [("A", "a")]


FAR = (datetime.now(UTC) + timedelta(days=3)).isoformat(timespec="seconds")
SOON = (datetime.now(UTC) + timedelta(hours=23)).isoformat(timespec="seconds")


@pytest.mark.parametrize(
    ("add", "record"),
    [
        (Book.add_readings, replace(GOOD, taken_at=FAR)),
        (Book.add_firings, Firing("W-1042", FAR)),
        (Book.add_outcomes, outcome(fired_at=FAR)),
    ],
)
def test_a_time_to_come_is_refused_unless_it_is_meant(book: Book, add: Any, record: Any) -> None:
    with pytest.raises(AheadError, match="--ahead"):
        add(book, [record])
    assert book.counts() == {}
    with ahead_is_meant():
        add(book, [record])
    assert sum(book.counts().values()) == 1


def test_a_clock_that_is_a_day_off_is_let_pass(book: Book) -> None:
    assert book.add_readings([replace(GOOD, taken_at=SOON)]) == 1


def test_the_command_asks_by_an_option(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file, book = tmp_path / "readings.csv", f"sqlite:///{tmp_path / 'lab.db'}"
    file.write_text(f"sample,L,a,b,illuminant,observer,taken_at\nx,70,1,2,D65,10,{FAR}\n")
    assert main(["--book", book, "read", str(file)]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "readings.csv" in line
    assert "--ahead" in line
    assert main(["--book", book, "--ahead", "read", str(file)]) == 0


@pytest.mark.parametrize("line", [
    Line("operator", FAR, "bench-1", {"operator": "anna"}),
    Line("operator", "2026-03-02T10:40:00+00:00", "bench\u202e-1", {"operator": "anna"}),
    Line("operator", "2026-03-02T10:40:00+00:00", "bench-1", {"operator": "an\u200bna"}),
    Line("operator", "2026-03-02T10:40:00+00:00", "bench-1", {"operator": "a" * 5000}),
])  # fmt: skip
def test_a_history_from_outside_is_held_to_it_too(book: Book, line: Line) -> None:
    with pytest.raises(InputError, match="line 1 of the history"), book.transaction() as step:
        step.restore([line])
    assert book.counts() == {}
    book.add_operators([Operator("anna")])
