"""How far long work is: told while it runs, and stopped from outside, by another thread.

The engine tells its steps to a watch and looks each time whether it is to go on. What it has found by
then it leaves with the watch, so that stopping loses nothing of it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from threading import Event
from typing import Any, NamedTuple, TypeAlias

from stainbook.errors import StoppedError
from stainbook.language import say


class Pace(NamedTuple):
    """What is being done, and how much of how much is."""

    doing: str
    done: int
    of: int


Elsewhere: TypeAlias = "Callable[[Any, Watch], str | None]"


class Watch:
    """One piece of long work: where it is, what it has found so far, and whether it is to stop.

    ``elsewhere`` is asked first where a search may be done by another program; it gives the answer as text, None where
    it is to be done here, and then tells why in ``told``.
    """

    def __init__(self, elsewhere: Elsewhere | None = None) -> None:
        self.elsewhere = elsewhere
        self.told = ""
        self.beforehand = False  # nobody waited for it when it was begun
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

    def wait(self, seconds: float) -> None:
        """Wait so long, or until the work is to end."""
        self._stop.wait(seconds)

    def go_on(self) -> None:
        """Raise StoppedError when the work is to end."""
        if self.stopped:
            raise StoppedError(say("stopped before it was done"))

    def leave(self, found: Sequence[Any]) -> None:
        """The work calls it with its results since the last time."""
        self.found = (*self.found, *found)


UNWATCHED = Watch()
