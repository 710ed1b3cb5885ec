"""Long work in a thread of its own: looked at while it runs, stopped on request, its result kept for whoever comes."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Callable, Hashable
from contextvars import copy_context
from threading import Event, Lock, Thread
from time import monotonic
from traceback import format_exception
from typing import Any, Generic, TypeVar

from stainbook.errors import StainbookError, StoppedError
from stainbook.match import Pace as Pace
from stainbook.match import Watch
from stainbook.match.watch import Elsewhere as Elsewhere
from stainbook.work.app.turns import Turns

T = TypeVar("T")
SWITCH = 0.001  # seconds that a page waits at most for its turn while a job computes; Python's own is 0.005
YIELDS, LOOKS = 0.02, 0.5  # s, between two looks of work that nobody waits for: at its turn, at what is newer


class _Beforehand(Watch):
    """Of work that nobody waits for yet: it goes on in its turn, and ends once it is outdated or nobody came for it."""

    def __init__(self, elsewhere: Elsewhere | None, turns: Turns, is_outdated: Callable[[], bool]) -> None:
        super().__init__(elsewhere)
        self.is_asked, self.beforehand = False, True
        self._turns, self._is_outdated = turns, is_outdated
        self._looked_at = monotonic()
        self.pace = Pace("turn", 0, 1)
        turns.join(self)

    @property
    def stopped(self) -> bool:
        """As of any watch; whoever does it elsewhere asks this alone."""
        if not self.is_asked and not self._stop.is_set():
            self._end_if_outdated()
        return self._stop.is_set()

    def go_on(self) -> None:
        super().go_on()
        while not (self.is_asked or self._turns.is_on(self)):
            self.wait(YIELDS)
            super().go_on()

    def ask(self) -> None:
        """Somebody waits for it now."""
        self.is_asked = True
        self._turns.leave(self)

    def _end_if_outdated(self) -> None:
        if monotonic() - self._looked_at > LOOKS:
            self._looked_at = monotonic()
            if self._is_outdated():
                self.stop()


class Job(Generic[T]):
    """One piece of work, begun at once; its searches are done ``elsewhere`` where that can be.

    turns : in which work that somebody waits for goes first
    is_outdated : given for work that nobody waits for yet: whether something newer makes it useless
    """

    def __init__(
        self,
        work: Callable[[Watch], T],
        elsewhere: Elsewhere | None = None,
        *,
        turns: Turns | None = None,
        is_outdated: Callable[[], bool] | None = None,
    ) -> None:
        self._turns = turns or Turns()
        patient = is_outdated is not None
        self.watch = _Beforehand(elsewhere, self._turns, is_outdated) if is_outdated is not None else Watch(elsewhere)
        self._lock, self._waited = Lock(), contextlib.ExitStack()
        self._done = Event()
        self._result: list[T] = []
        self._error: Exception | None = None
        self._told = False
        self._began = monotonic()
        if not patient:
            self._waited.enter_context(self._turns.busy())
        sys.setswitchinterval(SWITCH)
        # what holds for whoever began it, such as where files may be read, holds in the thread too
        Thread(target=copy_context().run, args=(self._run, work), daemon=True).start()

    def ask(self) -> None:
        """Somebody waits for it from now on, whoever began it."""
        if isinstance(self.watch, _Beforehand) and not self.watch.is_asked:
            self._began = monotonic()
            with self._lock:
                if not self._done.is_set():
                    self._waited.enter_context(self._turns.busy())
            self.watch.ask()

    @property
    def is_asked(self) -> bool:
        """Whether somebody waits for it."""
        return not isinstance(self.watch, _Beforehand) or self.watch.is_asked

    def _run(self, work: Callable[[Watch], T]) -> None:
        """Nothing of what the work was about, such as a patient's photo, is kept longer than it lasts."""
        try:
            self.watch.go_on()
            self._result.append(work(self.watch))
        except Exception as error:  # told to whoever asks for the result
            _without_frames(error)
            self._error = error
        finally:
            with self._lock:
                self._done.set()
                self._waited.close()
            self._turns.leave(self.watch)

    def stop(self) -> None:
        """Ask the work to end at its next step."""
        self.watch.stop()

    def settled(self, seconds: float) -> bool:
        """Whether it is done, waited for until so many seconds after it began."""
        return self.wait(max(0.0, self._began + seconds - monotonic()))

    def wait(self, seconds: float | None = None) -> bool:
        """Whether it is done, after so many seconds at most; who waits at all asks for it."""
        if seconds != 0:
            self.ask()
        return self._done.wait(seconds)

    def glance(self, seconds: float) -> bool:
        """Whether it is done, after so many seconds at most, in which a page that is being drawn lends its turn."""
        with self._turns.lent():
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
        self.wait()
        if self._error is not None:
            self._told = True
            raise self._error
        return self._result[0]


def _came_to_nothing(job: Job[Any]) -> bool:
    """Whether nobody asked for it, and it failed."""
    return not job.is_asked and job.wait(0) and job.failed


def _waits_elsewhere(job: Job[Any]) -> bool:
    """Whether nobody asked for it, and it waits for a worker, behind what others wait for."""
    return not job.is_asked and job.watch.pace.doing == "wait"


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


class Jobs(Generic[T]):
    """The newest jobs by what they are about; each is begun once."""

    def __init__(self, most: int, turns: Turns | None = None) -> None:
        self._most, self._lock, self._turns = most, Lock(), turns
        self._jobs: dict[Hashable, Job[T]] = {}

    def get(self, key: Hashable) -> Job[T] | None:
        """A job that was begun, unless what went wrong with it was told."""
        with self._lock:  # begun takes it out for a moment
            job = self._jobs.get(key)
        return None if job is None or job.is_over or _came_to_nothing(job) else job

    def begun(
        self,
        key: Hashable,
        work: Callable[[Watch], T],
        *,
        again: bool = False,
        elsewhere: Elsewhere | None = None,
        is_outdated: Callable[[], bool] | None = None,
    ) -> Job[T]:
        """The job of a key, begun now where `get` has none, or ``again`` one that was stopped or failed.

        is_outdated : it is worked out beforehand, since somebody may soon ask for it; as of `Job`
        """
        with self._lock:
            job = self._jobs.pop(key, None)
            if job is not None and is_outdated is None and (_waits_elsewhere(job) or _came_to_nothing(job)):
                job.stop()
                job = None
            if job is None or job.is_over or (again and job.wait(0) and job.failed):
                job = Job(work, elsewhere, turns=self._turns, is_outdated=is_outdated)
            elif is_outdated is None:
                job.ask()
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
