"""The books that this process has open, each opened once: sessions share one."""

from __future__ import annotations

import threading

from stainbook.book import Book, open_book

_open: dict[str | None, Book] = {}
_lock = threading.Lock()


def opened(url: str | None) -> Book:
    """The book of a URL, the default one for None; raises BookError where it cannot be opened."""
    with _lock:
        if url not in _open:
            _open[url] = open_book(url)
        return _open[url]


def close_all() -> None:
    """Close every book that is open."""
    with _lock:
        while _open:
            _open.popitem()[1].close()
