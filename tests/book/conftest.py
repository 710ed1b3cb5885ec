from __future__ import annotations

from collections.abc import Iterator

import pytest

from stainbook.book import Book, open_book


@pytest.fixture
def book(book_url: str) -> Iterator[Book]:
    with open_book(book_url, author="bench-2") as opened:
        yield opened
