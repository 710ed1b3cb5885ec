"""A bench of its own process: writes to a book and says what was acknowledged.

Each step is one transaction that reads a counter, stores it one higher, and stores a reading that carries the same
number; then one fit by itself.
"""

from __future__ import annotations

import os
import signal
import time
import traceback
from dataclasses import dataclass
from pathlib import Path

from stainbook.book import Book, open_book
from stainbook.records import Reading, Viewing


@dataclass
class Bench:
    """A process that writes; ``said`` holds a line for each step that was acknowledged."""

    number: int
    said: Path

    @property
    def acknowledged(self) -> list[tuple[int, int]]:
        """The counter and the fit's revision of each step."""
        return [(int(total), int(number)) for total, number, _ in self._lines]

    @property
    def moments(self) -> list[float]:
        """When each step was acknowledged, in seconds since it began."""
        return [float(moment) for _, _, moment in self._lines]

    @property
    def _lines(self) -> list[list[str]]:
        lines = self.said.read_text().splitlines(keepends=True)
        return [line.split() for line in lines if line.endswith("\n")]

    @property
    def errors(self) -> str:
        """What went wrong in it."""
        return self.said.with_suffix(".errors").read_text()

    def is_over(self) -> bool:
        """Whether it has ended by itself."""
        return os.waitid(os.P_PID, self.number, os.WEXITED | os.WNOHANG | os.WNOWAIT) is not None

    def wait(self) -> int:
        """Its exit status."""
        return os.waitstatus_to_exitcode(os.waitpid(self.number, 0)[1])

    def kill(self) -> int:
        """Kill it at once; gives its exit status."""
        os.kill(self.number, signal.SIGKILL)
        return self.wait()


def start(folder: Path, url: str, name: str, steps: int) -> Bench:
    """Let a process of its own write so many steps: a copy of this one, which has loaded what it needs."""
    said = folder / f"{name}.txt"
    said.touch()
    said.with_suffix(".errors").touch()
    number = os.fork()
    if number:
        return Bench(number, said)
    try:
        _write(url, name, steps, said)
    except BaseException:
        said.with_suffix(".errors").write_text(traceback.format_exc())
        os._exit(1)
    os._exit(0)


def assert_whole(book: Book, acknowledged: list[tuple[int, int]]) -> None:
    """The counter and the readings tell of the same steps, each once, none acknowledged is missing."""
    counters = [fit.document["total"] for fit in book.fits("counter")]
    assert counters == list(range(1, len(counters) + 1))
    assert sorted(number_of(reading.lab) for reading in book.readings() if reading.lab) == counters
    assert [fit.revision for fit in book.fits("counter")] == counters
    alone = {fit.revision for fit in book.fits("alone")}
    assert {total for total, _ in acknowledged} <= set(counters)
    assert {number for _, number in acknowledged} <= alone
    assert len({number for _, number in acknowledged}) == len(acknowledged)


def lab_of(total: int) -> tuple[float, float, float]:
    """A colour that carries a number up to 10,000, within what the files take."""
    return float(total % 100), float(total // 100), 0.0


def number_of(lab: tuple[float, float, float]) -> int:
    """The number that a colour carries."""
    return round(lab[0] + 100 * lab[1])


def _write(url: str, name: str, steps: int, said: Path) -> None:
    began = time.monotonic()
    with open_book(url, author=name) as book, said.open("w") as acknowledged:
        for _ in range(steps):
            with book.transaction() as tx:
                counter = tx.fit("counter")
                total = 1 + (counter.document["total"] if counter else 0)
                tx.add_fit("counter", {"total": total}, data=b"x" * 5000)
                tx.add_readings([Reading(name, lab=lab_of(total), viewing=Viewing())])
            alone = book.add_fit("alone", {"by": name})
            print(total, alone, time.monotonic() - began, file=acknowledged, flush=True)
