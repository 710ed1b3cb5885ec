"""A few of the kills that ``python -m tests.book.kills`` does by the hundred; and the first version's books."""

from __future__ import annotations

import multiprocessing
import os
import random
import sys
from pathlib import Path

import pytest

from stainbook.book import open_book
from stainbook.book.upgrade import DUMPED
from stainbook.book.wanted import BookQuery
from stainbook.records import Stain
from tests.book.earlier import make_first_version
from tests.book.kills import JOBS, LONGEST, kill, make_bundles

pytestmark = pytest.mark.filterwarnings("ignore:This process .* is multi-threaded, use of fork")


@pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are killed by signal on POSIX only")
@pytest.mark.parametrize("job", JOBS)
def test_a_killed_bench_loses_nothing_and_leaves_nothing_by_half(job: str, book_url: str, tmp_path: Path) -> None:
    if job == "backup" and not book_url.startswith("sqlite"):
        pytest.skip("a server's book is backed up by the server's own tools")
    if job == "import":
        make_bundles(tmp_path, 3)
    rng = random.Random(sys.maxsize)
    for _ in range(3):
        kill(job, book_url, tmp_path, rng, longest=LONGEST[job])


def test_a_book_of_the_first_version_keeps_all_and_gets_a_chain(
    book_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(DUMPED, "yes")
    stains = [Stain("husk", lot="24-117", notes="fires warm"), Stain("teasel"), Stain("clear", kind="clear")]
    make_first_version(book_url, stains)
    with open_book(book_url) as book:
        assert list(book.stains().values()) == stains
        assert book.verify().faults == ()
        assert [hit.entered.author for hit in book.search(BookQuery(conditions=(("word", "warm"),)))] == ["bench-1"]
        assert book.add_stains([Stain("husk", lot="24-131")]) == 1
        assert [one.revision for one in book.entered("stain", "husk")] == [1, 2]
        assert book.verify().faults == ()


def _open(url: str) -> None:
    open_book(url).close()


@pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are copied on POSIX only")
def test_processes_that_migrate_the_first_version_at_once_all_succeed(
    book_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(DUMPED, "yes")
    make_first_version(book_url, [Stain(f"s{n}") for n in range(300)])
    copies = multiprocessing.get_context("fork")  # of this process, which has loaded what they need
    benches = [copies.Process(target=_open, args=(book_url,)) for _ in range(3)]
    for bench in benches:
        bench.start()
    for bench in benches:
        bench.join(60)
    assert [bench.exitcode for bench in benches] == [0] * 3
    with open_book(book_url) as book:
        assert len(book.stains()) == 300
        assert book.verify().faults == ()
