"""Whose turn it is in a book: what is worked out beforehand waits for whoever waits for something, one after the other.

Nothing heavy is loaded for it.
"""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Iterator


class Turns:
    """Of all sessions that share an open book."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._busy = 0  # jobs that somebody waits for, and pages that are being drawn
        self._first: list[object] = []  # what is worked out beforehand, in the order in which it was begun

    @contextlib.contextmanager
    def busy(self) -> Iterator[None]:
        """While this lasts, somebody waits."""
        with self._lock:
            self._busy += 1
        try:
            yield
        finally:
            with self._lock:
                self._busy -= 1

    @contextlib.contextmanager
    def lent(self) -> Iterator[None]:
        """While this lasts, one who is `busy` lets others go on."""
        with self._lock:
            self._busy -= 1
        try:
            yield
        finally:
            with self._lock:
                self._busy += 1

    def join(self, one: object) -> None:
        """Queue up with what is worked out beforehand."""
        with self._lock:
            self._first.append(one)

    def leave(self, one: object) -> None:
        """Be done, or no longer in that queue."""
        with self._lock:
            if one in self._first:
                self._first.remove(one)

    def is_on(self, one: object) -> bool:
        """Whether this one of them may go on now."""
        with self._lock:
            return not self._busy and self._first[:1] == [one]

    def clear(self) -> None:
        """Nothing is kept."""
