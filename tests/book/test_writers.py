"""Many benches at once, and benches that die: nothing acknowledged is lost, nothing is half-stored."""

from __future__ import annotations

import random
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from stainbook.book import Book, open_book

WRITERS = 8
STEPS = 30


@dataclass
class _Bench:
    process: subprocess.Popen[bytes]
    said: Path

    @property
    def acknowledged(self) -> list[tuple[int, int]]:
        lines = self.said.read_text().splitlines(keepends=True)
        return [(int(total), int(number)) for total, number in (line.split() for line in lines if line.endswith("\n"))]


def _start(folder: Path, url: str, name: str, steps: int) -> _Bench:
    command = [sys.executable, "-W", "error", "-m", "tests.book.writer", url, name, str(steps)]
    said = folder / f"{name}.txt"
    with said.open("wb") as output, said.with_suffix(".errors").open("wb") as errors:
        return _Bench(subprocess.Popen(command, stdout=output, stderr=errors), said)


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
    benches = [_start(tmp_path, book_url, f"bench-{n}", STEPS) for n in range(WRITERS)]  # each may make the book
    for bench in benches:
        assert (bench.process.wait(timeout=120), bench.said.with_suffix(".errors").read_text()) == (0, "")
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
        benches = [_start(tmp_path, book_url, f"bench-{round_}-{n}", 10**6) for n in range(5)]
        for bench in benches:
            _wait_until_at_work(bench)
            time.sleep(rng.uniform(0, 0.15))
            bench.process.kill()
            assert bench.process.wait(timeout=30) == -9
            acknowledged += bench.acknowledged
    with open_book(book_url, timeout=10) as book:
        _assert_whole(book, acknowledged)
        assert book.add_fit("alone", {}) > max(number for _, number in acknowledged)
    if book_url.startswith("sqlite"):
        with closing(sqlite3.connect(book_url.removeprefix("sqlite:///"))) as connection:
            assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)


def _wait_until_at_work(bench: _Bench) -> None:
    deadline = time.monotonic() + 60
    while not bench.acknowledged:
        assert bench.process.poll() is None, bench.said.with_suffix(".errors").read_text()
        assert time.monotonic() < deadline, "the writer does not get its turn"
        time.sleep(0.02)
