"""The practice lab: this browser session alone works on a demonstration book of its own, and leaves it again.

Nothing that is done there reaches the lab's book, its statistics or what is half typed outside.
"""

from __future__ import annotations

import atexit
import shutil
from pathlib import Path

import streamlit as st

from stainbook.lab import Lab
from stainbook.pages.shell import case_source
from stainbook.pages.shell import practice_texts as words

_OUTSIDE = ("kept", "case_page_choices")  # what the session holds of the lab's own work
_TAKEN_ALONG = ("visit", "language")


def begin_practice() -> None:
    """Make a demonstration book in a temporary folder, and show it to this session."""
    with st.spinner(words.MAKING, show_time=True):
        app = Lab().app
        place = app.new_demo()
        atexit.register(shutil.rmtree, place, ignore_errors=True)
        url, folder = app.fill_demo(place)
    outside = {key: st.session_state[key] for key in _OUTSIDE if key in st.session_state}
    kept = outside.get("kept", {})
    st.session_state[case_source.PRACTICE] = case_source.Practice(url, folder, place, outside)
    _put({"kept": {key: kept[key] for key in _TAKEN_ALONG if key in kept}})


def leave_practice() -> None:
    """Go back to the lab's own book; that of the practice is deleted."""
    found = case_source.practice()
    if found is None:
        return
    del st.session_state[case_source.PRACTICE]
    Lab(found.url).store.close()
    shutil.rmtree(Path(found.place), ignore_errors=True)
    _put(found.outside)


def show_practice(page: str) -> None:
    """Say on each page that this is practice, what there is to do here, and how to leave."""
    if case_source.practice() is None:
        return
    said, do = st.columns([8, 3], vertical_alignment="center")
    said.info(f"{words.ON.get(page, words.ELSEWHERE)} {words.APART}")
    if do.button(words.LEAVE, width="stretch", key="leave_practice"):
        leave_practice()
        st.query_params.clear()
        st.rerun()


def _put(held: dict[str, object]) -> None:
    """Let the session hold this, and nothing else, of the work on a book."""
    for key in _OUTSIDE:
        st.session_state.pop(key, None)
    for key, value in held.items():
        st.session_state[key] = value
