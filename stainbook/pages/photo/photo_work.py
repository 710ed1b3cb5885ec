"""Work on a picture that goes on beside the page: begun for what it is about, looked at, stopped, taken up when done.

It is kept with the session alone, over page switches; with another picture or drawing it is stopped and forgotten.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

import streamlit as st

from stainbook.faces.desk_types import Job
from stainbook.pages.case import case_texts as words
from stainbook.pages.photo import photo_texts as texts
from stainbook.pages.shell import case_source
from stainbook.pages.shell.long_work import show_pace
from stainbook.pages.shell.page_frame import keep, kept

T = TypeVar("T")
_WORK = "photo work"


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


def drop(*names: str) -> None:
    """Stop work and forget it; all where none is named."""
    gone = {name for name in _all() if not names or name in names}
    for name in gone:
        _all()[name][1].stop()
    keep(_WORK, {name: one for name, one in _all().items() if name not in gone})


def is_done(name: str, job: Job[Any]) -> bool:
    """Whether there is a result or an error to take up; else how far it is, or that it was stopped, is shown here."""
    if not job.settled(case_source.PATIENCE):
        show_pace(job, name)
        return False
    if job.was_stopped:
        st.info(texts.STOPPED)
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
