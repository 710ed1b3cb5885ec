"""Many benches at once, and benches that die: nothing acknowledged is lost, nothing is half-stored."""

from __future__ import annotations

import os
import random
import sqlite3
import time
from contextlib import closing
from pathlib import Path

import pytest

from stainbook.book import Book, open_book
from tests.book.writer import Bench, start

pytestmark = [
    pytest.mark.filterwarnings("ignore:This process .* is multi-threaded, use of fork"),
    pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are copied and killed on POSIX only"),
]

WRITERS = 8
STEPS = 20


def _assert_whole(book: Book, acknowledged: list[tuple[int, int]]) -> None:
    """The counter and the readings tell of the same steps, each once, none acknowledged is missing."""
    counters = [fit.document["total"] for fit in book.fits("counter")]
    assert counters == list(range(1, len(counters) + 1))
    assert sorted(reading.lab[1] for reading in book.readings() if reading.lab) == counters
    assert [fit.revision for fit in book.fits("counter")] == counters
    alone = {fit.revision for fit in book.fits("alone")}
    assert {total for total, _ in acknowledged} <= set(counters)
    assert {number for _, number in acknowledged} <= alone
    assert len({number for _, number in acknowledged}) == len(acknowledged)


def test_eight_writers_on_a_new_book_lose_nothing(book_url: str, tmp_path: Path) -> None:
    benches = [start(tmp_path, book_url, f"bench-{n}", STEPS) for n in range(WRITERS)]  # each may make the book
    for bench in benches:
        assert (bench.wait(), bench.errors) == (0, "")
    acknowledged = [pair for bench in benches for pair in bench.acknowledged]
    assert len(acknowledged) == WRITERS * STEPS
    with open_book(book_url) as book:
        _assert_whole(book, acknowledged)
        assert book.counts() == {"fit": 2, "reading": WRITERS}
        assert [len(book.readings(f"bench-{n}")) for n in range(WRITERS)] == [STEPS] * WRITERS


def test_killed_writers_leave_whole_steps_only(book_url: str, tmp_path: Path) -> None:
    rng = random.Random(20261125)
    open_book(book_url).close()
    acknowledged = []
    for round_ in range(2):
        benches = [start(tmp_path, book_url, f"bench-{round_}-{n}", 10**6) for n in range(5)]
        for bench in benches:
            _wait_until_at_work(bench)
            time.sleep(rng.uniform(0, 0.15))
            assert bench.kill() == -9
            acknowledged += bench.acknowledged
    with open_book(book_url, timeout=10) as book:
        _assert_whole(book, acknowledged)
        assert book.add_fit("alone", {}) > max(number for _, number in acknowledged)
    if book_url.startswith("sqlite"):
        with closing(sqlite3.connect(book_url.removeprefix("sqlite:///"))) as connection:
            assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)


def _wait_until_at_work(bench: Bench) -> None:
    deadline = time.monotonic() + 60
    while not bench.acknowledged:
        assert not bench.is_over(), bench.errors
        assert time.monotonic() < deadline, "the writer does not get its turn"
        time.sleep(0.02)
