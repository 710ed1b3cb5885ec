"""How many pieces of work that need much memory go on at once."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from threading import BoundedSemaphore

from stainbook.match import Watch

LOOKED = 0.1  # seconds between two looks whether what waits for its place is to end


class AtATime:
    """So much work of a kind at a time, since each takes memory of its own; the rest waits and can be stopped."""

    def __init__(self, most: int) -> None:
        self._free = BoundedSemaphore(most)

    @contextmanager
    def taken(self, watch: Watch) -> Iterator[None]:
        """One place, once it is free; raises StoppedError when ``watch`` is to stop before."""
        while not self._free.acquire(timeout=LOOKED):
            watch.step("others", 0, 1)
        try:
            yield
        finally:
            self._free.release()
