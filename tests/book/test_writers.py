"""Many benches at once, and benches that die: nothing acknowledged is lost, nothing is half-stored."""

from __future__ import annotations

import os
import random
import sqlite3
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager, suppress
from pathlib import Path

import pytest

from stainbook.book import open_book
from stainbook.book.wanted import BookQuery
from stainbook.records import Reading, Viewing
from tests.book.worked import outcome
from tests.book.writer import Bench, assert_whole, start

pytestmark = [
    pytest.mark.filterwarnings("ignore:This process .* is multi-threaded, use of fork"),
    pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are copied and killed on POSIX only"),
]

WRITERS = 8
STEPS = 20


def test_eight_writers_on_a_new_book_lose_nothing(book_url: str, tmp_path: Path) -> None:
    benches = [start(tmp_path, book_url, f"bench-{n}", STEPS) for n in range(WRITERS)]  # each may make the book
    for bench in benches:
        assert (bench.wait(), bench.errors) == (0, "")
    acknowledged = [pair for bench in benches for pair in bench.acknowledged]
    assert len(acknowledged) == WRITERS * STEPS
    with open_book(book_url) as book:
        assert_whole(book, acknowledged)
        assert book.counts() == {"fit": 2, "reading": WRITERS}
        assert [len(book.readings(f"bench-{n}")) for n in range(WRITERS)] == [STEPS] * WRITERS


def test_killed_writers_leave_whole_steps_only(book_url: str, tmp_path: Path) -> None:
    rng = random.Random(20261125)
    open_book(book_url).close()
    acknowledged = []
    for round_ in range(2):
        benches = [start(tmp_path, book_url, f"bench-{round_}-{n}", 10**6) for n in range(5)]
        with killed_at_last(benches):
            for bench in benches:
                _wait_until_at_work(bench)
                time.sleep(rng.uniform(0, 0.15))
                assert bench.kill() == -9
                acknowledged += bench.acknowledged
    with open_book(book_url, timeout=10) as book:
        assert_whole(book, acknowledged)
        assert book.add_fit("alone", {}) > max(number for _, number in acknowledged)
    if book_url.startswith("sqlite"):
        with closing(sqlite3.connect(book_url.removeprefix("sqlite:///"))) as connection:
            assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)


@contextmanager
def killed_at_last(benches: list[Bench]) -> Iterator[None]:
    """Benches that never end by themselves do not outlive a test that fails."""
    try:
        yield
    finally:
        for bench in benches:
            with suppress(ProcessLookupError, ChildProcessError):
                bench.kill()


def _wait_until_at_work(bench: Bench) -> None:
    deadline = time.monotonic() + 60
    while not bench.acknowledged:
        assert not bench.is_over(), bench.errors
        assert time.monotonic() < deadline, "the writer does not get its turn"
        time.sleep(0.02)


READERS = 20


def test_twenty_threads_read_one_book_while_one_writes(book_url: str) -> None:
    """Each sees whole steps only, never an older book than before, and what it asked for and nothing else."""
    steps, over = 25, threading.Event()

    def read(number: int) -> int:
        seen = looks = 0
        while not over.is_set() or not looks:
            fits, row = book.fits("counter"), book.newest_row()
            assert [fit.document["total"] for fit in fits] == list(range(1, len(fits) + 1))
            assert row >= 2 * len(fits) >= seen
            assert {one.sample for one in book.readings(f"bench-{number % 2}")} <= {f"bench-{number % 2}"}
            assert {hit.dE00 for hit in book.search(BookQuery((72.0, 1.0, 18.0)))} <= {0.0}
            seen, looks = 2 * len(fits), looks + 1
        return looks

    with open_book(book_url) as book, ThreadPoolExecutor(READERS) as threads:
        reading = [threads.submit(read, number) for number in range(READERS)]
        try:
            for step in range(1, steps + 1):
                with book.transaction() as tx:
                    tx.add_fit("counter", {"total": step})
                    tx.add_readings([Reading(f"bench-{step % 2}", lab=(float(step), 0.0, 0.0), viewing=Viewing())])
                book.add_outcomes([outcome(f"W-{step}")])
        finally:
            over.set()
        assert min(one.result(120) for one in reading) >= 1
        assert (book.newest_row(), len(book.outcomes()), book.verify().faults) == (3 * steps, steps, ())
