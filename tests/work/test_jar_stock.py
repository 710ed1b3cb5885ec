"""Jars and bottles: which are known, which is meant, and which open cases each concerns."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from stainbook.apparatus import Jar
from stainbook.book import Book, open_book
from stainbook.errors import AheadError, InputError, UnknownNameError
from stainbook.records import Chip, Layer, Pot, Stain
from stainbook.work.case.case_edits import settings_of_case, with_settings
from stainbook.work.case.current_case import known_case
from stainbook.work.case.way import did
from stainbook.work.lab.jar_stock import keep_jar, known_lots, load_jars, not_run_out, run_out, shown, unknown_jars
from tests.work.test_tray import BARE, open_cases, painted


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}", author="bench-1") as opened:
        named = replace(BARE, case="W-2", lots=(("husk", "24-200"),))
        open_cases(opened, BARE, named, replace(BARE, case="W-3"), replace(named, case="OUT", stage="glazed"))
        did(opened, "OUT", "bonded")
        opened.add_stains([Stain("husk", lot="24-117")])
        layer = Layer(Pot.of({"husk": 0.25}), lots=(("husk", "24-100"),))
        opened.add_chips([Chip("husk-1", "pale", (layer,))])
        painted(opened, "W-1")
        yield opened


def test_a_jar_concerns_the_cases_that_name_it_and_those_that_mean_the_one_in_use(book: Book) -> None:
    found = {f"{one.stain}: {one.lot}": one for one in shown(book).jars}
    assert found["husk: 24-200"].cases == ["OUT", "W-2"]  # bonded is still in the lab
    used = next(one for one in shown(book).jars if one.in_use and one.stain == "husk")
    assert used.cases == ["W-1"]  # painted, and it names no jar
    assert found["husk: 24-100"].stripes == 1
    assert not any(one.entered for one in found.values())


def test_what_ran_out_is_offered_no_longer_until_that_is_undone(book: Book) -> None:
    run_out(book, "husk", "24-117", on="2026-03-09")
    assert "24-117" not in known_lots(book)["husk"]
    assert unknown_jars(book, [("husk", "24-117"), ("husk", "25-1")]) == ["husk: 25-1"]
    not_run_out(book, "husk", "24-117")
    assert "24-117" in known_lots(book)["husk"]
    with pytest.raises(InputError, match="did not run out"):
        not_run_out(book, "husk", "24-117")


def test_what_is_not_said_again_stays_and_every_revision_is_kept(book: Book) -> None:
    keep_jar(book, Jar("husk", "25-1", "M-4", "2026-03-02", note="half a jar"))
    keep_jar(book, Jar("husk", "25-1", run_out_on="2026-03-09"))
    (jar,) = book.jars()
    assert jar == Jar("husk", "25-1", "M-4", "2026-03-02", "2026-03-09", "half a jar")
    assert [one.revision for one in book.entered("jar", "husk: 25-1")] == [1, 2]
    assert book.verify().faults == ()


@pytest.mark.parametrize(
    ("jar", "error", "said"),
    [
        (Jar("", "1"), InputError, "no stain and lot"), (Jar("husk", " "), InputError, "no stain and lot"),
        (Jar("hulk", "1"), UnknownNameError, "husk"), (Jar("husk", "1", opened_on="soon"), InputError, "soon"),
        (Jar("husk", "1", opened_on="2026-03-02", run_out_on="2026-03-01"), InputError, "or later"),
        (Jar("husk", "1", opened_on="2099-03-02"), AheadError, "ahead"),
        (Jar("husk", "a\u202eb"), InputError, "not seen"),
    ],
)  # fmt: skip
def test_what_is_no_jar_stores_nothing(book: Book, jar: Jar, error: type[Exception], said: str) -> None:
    before = book.newest_row()
    with pytest.raises(error, match=said):
        keep_jar(book, jar)
    assert book.newest_row() == before


def test_a_file_is_stored_whole_or_not_at_all(book: Book, tmp_path: Path) -> None:
    path = tmp_path / "jars.csv"
    path.write_text("stain,lot\nhusk,1\nhulk,2\n")
    with pytest.raises(UnknownNameError, match="hulk"):
        load_jars(book, path)
    assert book.jars() == ()
    path.write_text("stain,lot,colour\nhusk,1,brown\n")
    assert "colour" in load_jars(book, path).warnings[0]


def test_two_jars_of_one_stain_in_a_case_are_refused(book: Book) -> None:
    case = known_case(book, "W-1").case
    two = replace(settings_of_case(case), lots="husk: 24-117\nhusk: 24-118")
    with pytest.raises(InputError, match="found the jars 24-117 and 24-118"):
        with_settings(case, two)


def test_both_stores_hold_the_same(postgresql_url: str) -> None:
    with open_book(postgresql_url, author="bench-1") as server:
        server.add_stains([Stain("husk")])
        keep_jar(server, Jar("husk", "25-1", opened_on="2026-03-02"))
        run_out(server, "husk", "25-1", on="2026-03-09")
        assert [(one.jar, one.run_out_on) for one in server.jars()] == [("husk: 25-1", "2026-03-09")]
        assert server.verify().faults == ()
