"""How long the book takes: searches of 10,000 outcomes, one outcome stored."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from stainbook.book import Book, open_book
from tests.benchmarks.many_outcomes import ASKED, fill
from tests.book.worked import outcome


@pytest.fixture(scope="module")
def many(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    with open_book(f"sqlite:///{tmp_path_factory.mktemp('many') / 'lab.db'}") as book:
        fill(book, 10_000)
        yield book


@pytest.mark.parametrize("name", ASKED)
def test_search(benchmark, many: Book, name: str) -> None:
    hits = benchmark(many.search, ASKED[name])
    assert len(hits) <= ASKED[name].limit


def test_store_an_outcome(benchmark, tmp_path: Path) -> None:
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as book:
        numbers = iter(range(10**6))
        benchmark(lambda: book.add_outcomes([outcome(f"W-{next(numbers)}")]))
        assert book.verify().faults == ()
