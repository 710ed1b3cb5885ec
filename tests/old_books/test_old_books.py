"""Books of all three revisions, an exchange and a PostgreSQL dump: the present program tells of them what theirs told.

What is told otherwise on purpose is named in ``told_differently.py``; anything else that differs is a fault. The
stored answers are those of the program that made the last of the books, not the present one's.
"""

from __future__ import annotations

import contextlib
import json
import sqlite3
from pathlib import Path

import pytest

from stainbook.book import open_book
from stainbook.book.upgrade import DUMPED
from stainbook.records import STAGES
from tests.old_books import sets
from tests.old_books.checked import check
from tests.old_books.told import kept

KINDS = {
    "body", "case", "chip", "choice", "correction", "decision", "erased", "firing", "fit", "import", "instrument",
    "operator", "outcome", "painted", "photo", "programme", "reading", "recipe", "settings", "share", "stain", "tab",
}  # fmt: skip


@pytest.mark.parametrize("name", ["revision-1", "revision-2", "exchange"])
def test_an_old_book_is_told_as_it_was(name: str, tmp_path: Path) -> None:
    url = sets.put(name, tmp_path / "lab")
    with contextlib.chdir(tmp_path / "lab"):
        check(name, url)


@pytest.mark.postgresql
def test_an_old_book_on_a_server_is_told_as_it_was(
    postgresql_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(DUMPED, "yes")
    url = sets.put("postgresql", tmp_path / "lab", url=postgresql_url)
    with contextlib.chdir(tmp_path / "lab"):
        check("postgresql", url)


@pytest.mark.parametrize("name", ["revision-1", "revision-2", "revision-3"])
def test_an_old_file_is_of_its_revision_and_copied_before_it_is_migrated(name: str, tmp_path: Path) -> None:
    url = sets.put(name, tmp_path)
    revision = f"000{name[-1]}"
    assert f"INSERT INTO \"stainbook_revision\" VALUES('{revision}')" in sets.statements(name)
    with contextlib.chdir(tmp_path):
        open_book(url).close()
        with open_book(url) as book:
            assert not book.verify().faults
    with contextlib.closing(sqlite3.connect(tmp_path / "lab.db")) as connection:
        ((now,),) = connection.execute("SELECT version_num FROM stainbook_revision").fetchall()
    assert now >= "0003"
    copies = list(tmp_path.glob(f"lab-revision-{revision}-*.db"))
    assert len(copies) == (1 if revision != now else 0)


# ---------------------------------------------------------------- the sets hold what they are for


def _told(name: str, asked: str) -> dict:
    return next(one.told for one in kept(name, sets.TOLD) if one.asked == asked)


def test_every_kind_of_row_is_there() -> None:
    assert set(_told("revision-3", "book list")["counts"]) == KINDS
    later = {"settings", "decision"}  # kinds that the program of revision 2 did not know
    assert set(_told("revision-2", "book list")["counts"]) == KINDS - later


def test_every_stage_is_there() -> None:
    shown = [one.told["thing"]["record"] for one in kept("revision-3", sets.TOLD) if one.asked.endswith("--kind case")
             and one.command == "book show"]  # fmt: skip
    assert {one["stage"] for one in shown} == set(STAGES)


def test_the_book_on_a_server_has_the_same_rows_as_the_one_in_a_file() -> None:
    rows = [_rows(sets.statements(name)) for name in ("revision-3", "postgresql")]
    assert rows[0] == rows[1]
    assert len(rows[0]) > 300


def _rows(statements: str) -> list[str]:
    """The seals and chains of all rows, by which they are the same; a server's dump has an order of its own."""
    lines = [line for line in statements.splitlines() if line.startswith('INSERT INTO "records"')]
    lines += [line for line in statements.splitlines() if line.startswith("INSERT INTO public.records ")]
    return sorted(line.rsplit("'", 4)[-4] + line.rsplit("'", 4)[-2] for line in lines)


def test_a_case_differs_between_its_file_and_the_book() -> None:
    file = (sets.DATA / "cases" / "V-116.yaml").read_text(encoding="utf-8")
    book = _told("revision-3", "book show V-116 --kind case")["thing"]["record"]
    assert "stage: glazed" in file
    assert "tab: oat-2" in file
    assert book["stage"] == "blasted"
    assert "oat-2" not in json.dumps(book)


def test_what_is_kept_is_small() -> None:
    assert sum(one.stat().st_size for one in sets.DATA.rglob("*") if one.is_file()) < 1_000_000
