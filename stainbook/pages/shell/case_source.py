"""The lab that the app was started with, and how long its pages wait for work."""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path

import streamlit as st

from stainbook.faces.desk_types import CaseDesk
from stainbook.lab import Lab, LabCase
from stainbook.pages.shell import texts

PATIENCE = 0.6  # seconds that a page waits before it shows how far the work is


def folder() -> Path:
    """The folder whose case files may be brought in."""
    return Path(os.environ.get("STAINBOOK_FOLDER") or Path.cwd())


def lab() -> Lab:
    """The lab of the app: all views of one place share one open book."""
    return _lab_of(os.environ.get("STAINBOOK_BOOK"))


@cache
def _lab_of(url: str | None) -> Lab:
    return Lab(url)


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
