"""The lab that the app was started with, and how long its pages wait for work."""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import streamlit as st
from streamlit.runtime.scriptrunner import get_script_run_ctx

from stainbook.faces.desk_types import CaseDesk
from stainbook.lab import Lab, LabCase
from stainbook.pages.shell import texts

KEPT = "kept"  # as `page_frame` keeps what outlives a switch of pages
AUTHOR = "author"  # under which a session keeps who sits here
PATIENCE = 0.6  # seconds that a page waits before it shows how far the work is
PRACTICE = "practice"  # under which a session keeps the demonstration book that it works on


@dataclass(frozen=True)
class Practice:
    """A demonstration book of this session alone: where it is, and what was half typed outside of it."""

    url: str
    folder: Path
    place: Path
    outside: dict[str, Any]


def practice() -> Practice | None:
    """The practice of this browser session; None outside of one."""
    if get_script_run_ctx(suppress_warning=True) is None:  # no session asks, such as where the server warms up
        return None
    found: Practice | None = st.session_state.get(PRACTICE)
    return found


def folder() -> Path:
    """The folder whose case files may be brought in."""
    if (own := practice()) is not None:
        return own.folder
    return Path(os.environ.get("STAINBOOK_FOLDER") or Path.cwd())


def lab() -> Lab:
    """The lab of the app, or that of the session's practice: all views of one place share one open book."""
    own = practice()
    return _lab_of(own.url if own is not None else os.environ.get("STAINBOOK_BOOK"), who_sits_here())


@cache
def _lab_of(url: str | None, author: str | None) -> Lab:
    return Lab(url, author=author)


def who_sits_here() -> str | None:
    """The name that was chosen in Settings in this session of the browser; None: as the app was started."""
    if get_script_run_ctx(suppress_warning=True) is None:  # no session: the server warms up
        return None
    found: str | None = st.session_state.get(KEPT, {}).get(AUTHOR) or None
    return found


def case(code: str) -> LabCase:
    """A case of the lab."""
    return lab().case(code)


def waited_for(code: str) -> CaseDesk:
    """A case worked out, waited for; as far as it was found where the work was stopped."""
    desk = case(code).desk
    job = desk.job()
    if not job.settled(PATIENCE):
        with st.spinner(texts.WORKING.format(case=code), show_time=True):
            job.wait()
    return desk.found(job)
