"""Many processes that write one book at once.

``python -m tests.benchmarks.writers_at_once STORE [WRITERS] [STEPS] [LABS]``: STORE is ``sqlite`` or ``postgresql``, a
throw-away one of this run. Each step is a transaction that reads a counter and stores it one higher with a reading that
carries it, then a fit by itself; what was acknowledged must be there, each number once and none left out, and the chain
whole. With LABS the writers are of so many labs of one database in turn.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from stainbook.book import open_book
from tests.book.kills import store
from tests.book.writer import assert_whole, start


def main(kind: str, writers: int = 32, steps: int = 20, labs: int = 1) -> None:
    """Let them write, check, and print."""
    os.umask(0o077)
    with store(kind) as url, tempfile.TemporaryDirectory(prefix="writers") as place:
        names = [f"lab-{n}" for n in range(labs)] if labs > 1 else [""]
        for name in names:
            open_book(url, lab=name).close()
        began, benches = time.monotonic(), []
        for number in range(writers):
            os.environ["STAINBOOK_LAB"] = names[number % labs]
            benches.append(start(Path(place), url, f"bench-{number}", steps))
        failed = [bench.errors for bench in benches if bench.wait() != 0]
        took = time.monotonic() - began
        for at, name in enumerate(names):
            acknowledged = [pair for bench in benches[at::labs] for pair in bench.acknowledged]
            with open_book(url, lab=name) as book:
                assert_whole(book, acknowledged)
                assert book.verify().faults == ()
        done = sum(len(bench.acknowledged) for bench in benches)
        longest = max(wait for bench in benches for wait in np.diff([0.0, *bench.moments]))
    print(
        f"{kind}, {writers} writers of {labs} labs: {done} of {writers * steps} steps acknowledged, none lost, chain "
        f"whole; {took:.1f} s, {1000 * took / max(done, 1):.0f} ms a step, the longest of one writer {longest:.1f} s; "
        f"{len(failed)} writers gave up"
    )
    for one in failed[:3]:
        print(one.splitlines()[-1])


if __name__ == "__main__":
    main(sys.argv[1], *map(int, sys.argv[2:]))
