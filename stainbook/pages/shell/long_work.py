"""Long work on a page: what it does, how far it is, and a button to stop it; the page is drawn anew when it ends."""

from __future__ import annotations

from typing import Any

import streamlit as st

from stainbook.faces.app_types import Pace
from stainbook.faces.desk_types import Job
from stainbook.pages.case import case_texts as words
from stainbook.pages.shell.page_frame import fragment

EVERY = 0.7  # seconds between two looks


def show_pace(job: Job[Any], name: str = "long work") -> None:
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
