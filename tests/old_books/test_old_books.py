"""Books of all three revisions, an exchange and a PostgreSQL dump: the present program tells of them what theirs told.

What is told otherwise on purpose is named in ``told_differently.py``; anything else that differs is a fault. The
stored answers are those of the program that made the last of the books, not the present one's.
"""

from __future__ import annotations

import contextlib
import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from stainbook.book import open_book, schema
from stainbook.records import STAGES
from tests.old_books import sets
from tests.old_books.compare import COMPUTED, ROUNDING, WORKED_OUT, differences, judged
from tests.old_books.told import Answer, answers, kept
from tests.old_books.told_differently import ToldDifferently

TOLD = sets.DATA / "told"
KINDS = {
    "body", "case", "chip", "choice", "correction", "decision", "erased", "firing", "fit", "import", "instrument",
    "operator", "outcome", "painted", "photo", "programme", "reading", "recipe", "settings", "share", "stain", "tab",
}  # fmt: skip
MOST_SHOWN = 30  # differences of a failure; the count is told too


def _check(name: str, url: str) -> None:
    """What is told now of a set in the current folder, beside what was told then."""
    then = kept(sets.AS_TOLD_OF.get(name, name), TOLD)
    now = answers(name, sets.opened(name, url))
    if name in sets.AS_TOLD_OF:  # the same book on another way: fewer things are asked of it
        asked = {one.asked for one in now}
        then = [one for one in then if one.asked in asked]
        assert len(then) == len(now)
    found = judged(name, differences(name, then, now))
    lines = [str(one) for one in found.unnamed]
    assert not lines, "\n".join([f"{len(lines)} places are told otherwise", *lines[:MOST_SHOWN]])
    assert not found.unused, "named as told differently, and told as ever: " + "\n".join(map(str, found.unused))


@pytest.mark.parametrize("name", [one for one in sets.SETS if one != "postgresql"])
def test_an_old_book_is_told_as_it_was(name: str, tmp_path: Path) -> None:
    url = sets.put(name, tmp_path / "lab")
    with contextlib.chdir(tmp_path / "lab"):
        _check(name, url)


@pytest.mark.postgresql
def test_an_old_book_on_a_server_is_told_as_it_was(postgresql_url: str, tmp_path: Path) -> None:
    url = sets.put("postgresql", tmp_path / "lab", url=postgresql_url)
    with contextlib.chdir(tmp_path / "lab"):
        _check("postgresql", url)


@pytest.mark.parametrize("name", ["revision-1", "revision-2", "revision-3"])
def test_an_old_file_is_of_its_revision_and_copied_before_it_is_migrated(name: str, tmp_path: Path) -> None:
    url = sets.put(name, tmp_path)
    revision = f"000{name[-1]}"
    assert f"INSERT INTO \"stainbook_revision\" VALUES('{revision}')" in sets.statements(name)
    with contextlib.chdir(tmp_path):
        open_book(url).close()
        with open_book(url) as book:
            assert not book.verify().faults
    copies = list(tmp_path.glob(f"lab-revision-{revision}-*.db"))
    assert len(copies) == (1 if revision != schema.REVISION else 0)


# ---------------------------------------------------------------- the sets hold what they are for


def _told(name: str, asked: str) -> dict:
    return next(one.told for one in kept(name, TOLD) if one.asked == asked)


def test_every_kind_of_row_is_there() -> None:
    assert set(_told("revision-3", "book list")["counts"]) == KINDS
    later = {"settings", "decision"}  # kinds that the program of revision 2 did not know
    assert set(_told("revision-2", "book list")["counts"]) == KINDS - later


def test_every_stage_is_there() -> None:
    shown = [one.told["thing"]["record"] for one in kept("revision-3", TOLD) if one.asked.endswith("--kind case")
             and one.command == "book show"]  # fmt: skip
    assert {one["stage"] for one in shown} == set(STAGES)


def test_the_book_on_a_server_has_the_same_rows_as_the_one_in_a_file() -> None:
    rows = [_rows(sets.statements(name)) for name in ("revision-3", "postgresql")]
    assert rows[0] == rows[1]
    assert len(rows[0]) > 300


def _rows(statements: str) -> list[str]:
    """The seals and chains of all rows, by which they are the same."""
    lines = [line for line in statements.splitlines() if line.startswith('INSERT INTO "records"')]
    lines += [line for line in statements.splitlines() if line.startswith("INSERT INTO public.records ")]
    return [line.rsplit("'", 4)[-4] + line.rsplit("'", 4)[-2] for line in lines]


def test_a_case_differs_between_its_file_and_the_book() -> None:
    file = (sets.DATA / "cases" / "V-116.yaml").read_text(encoding="utf-8")
    book = _told("revision-3", "book show V-116 --kind case")["thing"]["record"]
    assert "stage: glazed" in file
    assert "tab: oat-2" in file
    assert book["stage"] == "blasted"
    assert "oat-2" not in json.dumps(book)


def test_what_is_kept_is_small() -> None:
    assert sum(one.stat().st_size for one in sets.DATA.rglob("*") if one.is_file()) < 1_000_000


# ---------------------------------------------------------------- the comparison can fail

ONE = Answer("bench", "V-1", "bench V-1.yaml", 0, {"zones": [{"zone": "cervical", "dE00": 2.5, "next": "leave"}]})


def _changed(**zone: object) -> Answer:
    return replace_told(ONE, {"zones": [{**ONE.told["zones"][0], **zone}]})


def replace_told(one: Answer, told: object) -> Answer:
    return one._replace(told=told)


@pytest.mark.parametrize(
    ("now", "path"),
    [
        (_changed(dE00=2.5 + 2 * WORKED_OUT), "told.zones[0].dE00"),
        (_changed(next="add"), "told.zones[0].next"),
        (_changed(dE00=None), "told.zones[0].dE00"),
        (replace_told(ONE, {"zones": []}), "told.zones.length"),
        (replace_told(ONE, {}), "told.zones"),
        (replace_told(ONE, "stainbook: no such case"), "told"),
        (ONE._replace(status=2), "status"),
    ],
)
def test_a_change_is_found_where_it_is(now: Answer, path: str) -> None:
    assert [one.path for one in differences("revision-3", [ONE], [now])] == [path]


def test_an_answer_that_is_missing_is_found() -> None:
    (found,) = differences("revision-3", [ONE], [])
    assert (found.asked, found.path, found.now) == (ONE.asked, "", None)


def test_roundings_of_a_machine_and_further_keys_are_no_change() -> None:
    now = _changed(dE00=2.5 + 0.9 * WORKED_OUT, standing={"from": "read"})
    assert differences("revision-3", [ONE], [now]) == []


def test_what_is_stored_is_held_to_its_rounding() -> None:
    then, now = (ONE._replace(command="book show", told={"to_target": 1.0 + apart}) for apart in (0.0, 2 * ROUNDING))
    assert "book show" not in COMPUTED
    assert [one.path for one in differences("revision-3", [then], [now])] == ["told.to_target"]


def test_a_named_difference_is_let_through_and_no_other() -> None:
    named = ToldDifferently("revision-3", "bench", "V-1", "told.zones[[]*].next", "it was already sintered")
    named = replace(named, path="told.zones[*].next")
    found = differences("revision-3", [ONE], [_changed(next="add", dE00=3.5)])
    verdict = judged("revision-3", found, [named])
    assert [one.path for one in verdict.unnamed] == ["told.zones[0].dE00"]
    assert verdict.unused == []
    assert judged("revision-2", [replace(one, set="revision-2") for one in found], [named]).unnamed != []


def test_a_named_difference_that_is_none_is_told() -> None:
    named = ToldDifferently("revision-3", "bench", "*", "told.*", "mended")
    assert judged("revision-3", [], [named]).unused == [named]
    assert judged("revision-1", [], [named]).unused == []


@pytest.fixture(autouse=True)
def _nothing_left(tmp_path: Path):
    yield
    shutil.rmtree(tmp_path, ignore_errors=True)
