"""Two benches on one book on a server, with nothing else shared: the same cases, each firing once."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from stainbook.book import Book, open_book
from stainbook.kept import FiredZone, Firing, Report
from stainbook.records import Case, CaseZone, Layer, Pot, Stain
from stainbook.work.case.case_told import case_result
from stainbook.work.case.current_case import known_case
from stainbook.work.case.open_case import open_as
from stainbook.work.firing.record import record_reports
from stainbook.work.firing.told_twice import told_before
from tests.life.bench import Bench, Doc, colour, fired_zone, zone

KEYS = ((11, "cervical"), (11, "middle"))
NOW, AFTER, TARGET = (76.0, 0.9, 14.0), (73.6, 1.5, 16.4), (73.4, 1.6, 16.6)
LAYERS: list[Doc] = [{"pot": {"husk": 0.125}, "coats": 1}]
pytestmark = pytest.mark.postgresql


def bench_of(url: str, folder: Path, name: str) -> Bench:
    folder.mkdir()
    return Bench(folder, url, environment={"STAINBOOK_AUTHOR": name})


def test_two_benches_see_the_same_cases_and_a_firing_told_by_both_is_stored_once(
    postgresql_url: str, tmp_path: Path
) -> None:
    one, other = (bench_of(postgresql_url, tmp_path / name, name) for name in ("ada", "bo"))
    with open_book(postgresql_url) as book:
        book.add_stains([Stain("husk")])
    one.open("W-1", [zone(*key, now=NOW, target=TARGET) for key in KEYS], stage="blasted")
    assert not list(other.folder.iterdir())
    for command in (("case", "show", "W-1"), ("bench", "W-1"), ("sheet", "W-1"), ("book", "list", "case")):
        assert other.json(*command) == one.json(*command), command
    told = [fired_zone(KEYS[0], LAYERS, colour(AFTER)), fired_zone(KEYS[1], LAYERS)]
    assert other.record("W-1", told)["stored"]
    assert one.json("case", "show", "W-1")["stage"] == "stained"
    again = one.record("W-1", told)
    assert (again["stored"], again["told_by"]) == (False, "bo")
    assert any("told before, by bo" in line for line in again["warnings"])
    things = one.json("book", "list", "firing")["things"]
    assert [(thing["name"], thing["author"]) for thing in things] == [(f"W-1 {one.at('10:00')}", "bo")]
    assert other.json("case", "show", "W-1") == one.json("case", "show", "W-1")


@pytest.fixture
def benches(postgresql_url: str) -> Iterator[tuple[Book, Book]]:
    with open_book(postgresql_url, author="ada") as one, open_book(postgresql_url, author="bo") as other:
        one.add_stains([Stain("husk")])
        with one.transaction() as step:
            open_as(step, Case("W-1", tuple(CaseZone(*key, "tooth") for key in KEYS), stage="blasted"))
        yield one, other


def report(at: str, coats: int = 1) -> Report:
    """A firing as a page tells it: its time is the page's own."""
    zones = tuple(FiredZone(*key, "tooth", (Layer(Pot.of({"husk": 0.125}), coats),)) for key in KEYS)
    return Report(Firing("W-1", at, kind="stain"), zones)


def both(benches: tuple[Book, Book], reports: tuple[Report, Report], monkeypatch: pytest.MonkeyPatch) -> list[bool]:
    """Both benches record at once: each has looked at the book before either of them stores; whether each stored."""
    met = threading.Barrier(2)
    waited = threading.local()

    def looked(*given: object, **named: object) -> object:
        found = told_before(*given, **named)  # type: ignore[arg-type]
        if not getattr(waited, "once", False):
            waited.once = True
            met.wait(30)
        return found

    monkeypatch.setattr("stainbook.work.firing.record.told_before", looked)
    stored: dict[int, bool] = {}

    def tell(number: int) -> None:
        stored[number] = record_reports(benches[number], [reports[number]], timed=False).stored

    threads = [threading.Thread(target=tell, args=(number,)) for number in (0, 1)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    return [stored[0], stored[1]]


def test_one_firing_told_by_two_at_the_same_moment_is_stored_once(benches, monkeypatch) -> None:
    at = ("2026-03-02T10:00:00Z", "2026-03-02T10:00:07Z")
    assert sorted(both(benches, (report(at[0]), report(at[1])), monkeypatch)) == [False, True]
    assert len(benches[0].firings_of("W-1")) == 1
    states = [case_result(book, known_case(book, "W-1")) for book in benches]
    assert states[0] == states[1]
    assert states[0].firings_left == 1


def test_two_firings_told_at_the_same_moment_are_both_stored(benches, monkeypatch) -> None:
    at = ("2026-03-02T10:00:00Z", "2026-03-02T11:00:00Z")
    assert both(benches, (report(at[0]), report(at[1], coats=2)), monkeypatch) == [True, True]
    assert known_case(benches[0], "W-1").state.firings_left == 0
