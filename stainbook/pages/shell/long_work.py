"""Long work on a page: what it does, how far it is, and a button to stop it; the page is drawn anew when it ends.

What a session alone began, such as work on a picture, is kept with that session, over page switches; what it is about
says whether it is still wanted. Work on a case of the book is kept by `Lab` and serves all.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

import streamlit as st

from stainbook.faces.app_types import Pace
from stainbook.faces.desk_types import Job
from stainbook.pages.case import case_texts as words
from stainbook.pages.shell import case_source
from stainbook.pages.shell.page_frame import fragment, keep, kept

T = TypeVar("T")
EVERY = 0.7  # seconds between two looks
_WORK = "long_work"  # under which a session keeps what it began, by name: what it is about, and the job


def show_pace(job: Job[Any], name: str = "long_work") -> None:
    """How far a job is, until it ends; ``name`` tells it from others on the page."""
    fragment(_look, every=EVERY)(job, name)


def _look(job: Job[Any], name: str) -> None:
    if job.wait(0):
        st.rerun()
    if job.watch.told:
        st.caption(job.watch.told)
    pace, stop = st.columns([5, 1], vertical_alignment="bottom")
    pace.progress(share(job.watch.pace), text=said(job.watch.pace))
    stop.button(words.STOP, on_click=job.stop, width="stretch", key=f"stop {name}", disabled=job.watch.stopped)


def share(pace: Pace) -> float:
    """How much of the present part is done, 0 to 1."""
    return min(pace.done / max(pace.of, 1), 1.0)


def said(pace: Pace) -> str:
    """What is being done, in words."""
    doing = words.DOING.get(pace.doing, pace.doing)
    return words.PACE.format(doing=doing, done=pace.done, of=pace.of) if pace.doing else f"{doing} …"


# ---------------------------------------------------------------- what a session alone began


def begun(name: str, about: object) -> Job[Any] | None:
    """The work of that name, where it is about just this; None where it is about something else, or never began."""
    was_about, job = _all().get(name, (None, None))
    return job if job is not None and was_about == about else None


def begin(name: str, about: object, work: Callable[[], Job[T]]) -> Job[T]:
    """The work of that name: what goes on about the same, else anew, and what it did before is stopped."""
    job = begun(name, about)
    if job is None or job.wait(0):
        drop(name)
        job = work()
        keep(_WORK, {**_all(), name: (about, job)})
    return job


def going_on(*starts: str) -> dict[str, Job[Any]]:
    """The work whose name begins so, whatever it is about."""
    return {name: job for name, (_, job) in _all().items() if name.startswith(starts)}


def drop(start: str) -> None:
    """Stop the work whose name begins so, and forget it."""
    for job in going_on(start).values():
        job.stop()
    keep(_WORK, {name: one for name, one in _all().items() if not name.startswith(start)})


def is_done(name: str, job: Job[Any]) -> bool:
    """Whether there is a result or an error to take up; else how far it is, or that it was stopped, is shown here."""
    if not job.settled(case_source.PATIENCE):
        show_pace(job, name)
        return False
    if job.was_stopped:
        st.info(words.STOPPED_BEFORE)
    return not job.was_stopped


def needed(name: str, about: object, work: Callable[[], Job[T]]) -> T | None:
    """What the page cannot be drawn without, begun by itself; None while it goes on or is stopped.

    Raises what the work raised.
    """
    job = begun(name, about) or begin(name, about, work)
    if is_done(name, job):
        found: T = job.result()
        return found
    if job.was_stopped and st.button(words.GO_ON, key=f"go on {name}"):
        begin(name, about, work)
        st.rerun()
    return None


def _all() -> dict[str, tuple[object, Job[Any]]]:
    found: dict[str, tuple[object, Job[Any]]] = kept(_WORK, {})
    return found
