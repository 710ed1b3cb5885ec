"""How far long work is: told while it runs, and stopped from outside, by another thread.

The engine tells its steps to a watch and looks each time whether it is to go on. What it has found by
then it leaves with the watch, so that stopping loses nothing of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from threading import Event
from typing import Any, NamedTuple

from stainbook.errors import StoppedError
from stainbook.language import say


class Pace(NamedTuple):
    """What is being done, and how much of how much is."""

    doing: str
    done: int
    of: int


class Watch:
    """One piece of long work: where it is, what it has found so far, and whether it is to stop."""

    def __init__(self) -> None:
        self.pace = Pace("", 0, 1)
        self.found: tuple[Any, ...] = ()  # what is done, in order
        self._stop = Event()

    def stop(self) -> None:
        """Ask the work to end at its next step."""
        self._stop.set()

    @property
    def stopped(self) -> bool:
        """Whether the work was asked to end."""
        return self._stop.is_set()

    def step(self, doing: str, done: int, of: int) -> None:
        """The work calls it with its progress; raises StoppedError when it is to end."""
        self.pace = Pace(doing, done, of)
        self.go_on()

    def go_on(self) -> None:
        """Raise StoppedError when the work is to end."""
        if self._stop.is_set():
            raise StoppedError(say("stopped before it was done"))

    def leave(self, found: Sequence[Any]) -> None:
        """The work calls it with its results since the last time."""
        self.found = (*self.found, *found)


UNWATCHED = Watch()
