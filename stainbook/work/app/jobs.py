"""Long work in a thread of its own: looked at while it runs, stopped on request, its result kept for whoever comes."""

from __future__ import annotations

import sys
from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from contextvars import copy_context
from threading import BoundedSemaphore, Event, Lock, Thread
from time import monotonic
from traceback import format_exception
from typing import Generic, TypeVar

from stainbook.errors import StainbookError, StoppedError
from stainbook.match import Pace as Pace
from stainbook.match import Watch
from stainbook.match.watch import Elsewhere as Elsewhere

T = TypeVar("T")
SWITCH = 0.001  # seconds that a page waits at most for its turn while a job computes; Python's own is 0.005
LOOKED = 0.1  # seconds between two looks whether what waits for its turn is to end


class Job(Generic[T]):
    """One piece of work, begun at once; its searches are done ``elsewhere`` where that can be."""

    def __init__(self, work: Callable[[Watch], T], elsewhere: Elsewhere | None = None) -> None:
        self.watch = Watch(elsewhere)
        self._done = Event()
        self._result: list[T] = []
        self._error: Exception | None = None
        self._told = False
        self._began = monotonic()
        sys.setswitchinterval(SWITCH)
        # what holds for whoever began it, such as where files may be read, holds in the thread too
        Thread(target=copy_context().run, args=(self._run, work), daemon=True).start()

    def _run(self, work: Callable[[Watch], T]) -> None:
        """Nothing of what the work was about, such as a patient's photo, is kept longer than it lasts."""
        try:
            self._result.append(work(self.watch))
        except Exception as error:  # told to whoever asks for the result
            _without_frames(error)
            self._error = error
        finally:
            self._done.set()

    def stop(self) -> None:
        """Ask the work to end at its next step."""
        self.watch.stop()

    def settled(self, seconds: float) -> bool:
        """Whether it is done, waited for until so many seconds after it began."""
        return self.wait(max(0.0, self._began + seconds - monotonic()))

    def wait(self, seconds: float | None = None) -> bool:
        """Whether it is done, after so many seconds at most."""
        return self._done.wait(seconds)

    @property
    def was_stopped(self) -> bool:
        """Whether it ended before it was done since it was asked to."""
        return isinstance(self._error, StoppedError)

    @property
    def failed(self) -> bool:
        """Whether it ended without a result."""
        return self._error is not None

    @property
    def is_over(self) -> bool:
        """Whether what went wrong was told: a book may be busy now and free at the next look."""
        return self._told and not self.was_stopped

    def result(self) -> T:
        """What came of it, once it is done; raises what the work raised, StoppedError where it was stopped."""
        self._done.wait()
        if self._error is not None:
            self._told = True
            raise self._error
        return self._result[0]


def _without_frames(error: BaseException) -> None:
    """The frames that an error came through go, and those of the errors before it, with all that lay in them.

    Where one that nobody foresaw came from stays with it as text.
    """
    if not isinstance(error, StainbookError):
        error.add_note("".join(format_exception(error)))
    waiting: list[BaseException | None] = [error]
    while waiting:
        one = waiting.pop()
        if one is not None:
            one.__traceback__ = None
            waiting += [one.__cause__, one.__context__]


class Turns:
    """So much work of a kind at a time, since each takes memory of its own; the rest waits and can be stopped."""

    def __init__(self, most: int) -> None:
        self._free = BoundedSemaphore(most)

    @contextmanager
    def taken(self, watch: Watch) -> Iterator[None]:
        """One turn, once it is free; raises StoppedError when ``watch`` is to stop before."""
        while not self._free.acquire(timeout=LOOKED):
            watch.step("turn", 0, 1)
        try:
            yield
        finally:
            self._free.release()


class Jobs(Generic[T]):
    """The newest jobs by what they are about; each is begun once."""

    def __init__(self, most: int) -> None:
        self._most, self._lock = most, Lock()
        self._jobs: dict[Hashable, Job[T]] = {}

    def get(self, key: Hashable) -> Job[T] | None:
        """A job that was begun, unless what went wrong with it was told."""
        with self._lock:  # begun takes it out for a moment
            job = self._jobs.get(key)
        return None if job is None or job.is_over else job

    def begun(
        self, key: Hashable, work: Callable[[Watch], T], *, again: bool = False, elsewhere: Elsewhere | None = None
    ) -> Job[T]:
        """The job of a key, begun now where `get` has none, or ``again`` one that was stopped or failed."""
        with self._lock:
            job = self._jobs.pop(key, None)
            if job is None or job.is_over or (again and job.wait(0) and job.failed):
                job = Job(work, elsewhere)
            self._jobs[key] = job  # the newest last
            while len(self._jobs) > self._most:
                self._jobs.pop(next(iter(self._jobs))).stop()
        return job

    def clear(self) -> None:
        """Forget all of them."""
        with self._lock:
            for job in self._jobs.values():
                job.stop()
            self._jobs.clear()
