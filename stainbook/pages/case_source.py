"""Where the page's cases come from: the folder and the book that the app was started with."""

from __future__ import annotations

import os
from pathlib import Path

import streamlit as st

from stainbook.pages import texts
from stainbook.work.case_views import case_files_in, case_mark, view_case
from stainbook.work.views import CaseView


def folder() -> Path:
    """The folder that holds the case files."""
    return Path(os.environ.get("STAINBOOK_FOLDER") or Path.cwd())


def book_url() -> str | None:
    """The book's URL, None for the default one."""
    return os.environ.get("STAINBOOK_BOOK")


def case_files() -> list[str]:
    """The case files of the folder, by name."""
    return [str(path) for path in case_files_in(folder())]


def case_name(path: str) -> str:
    """What a case file is called in a list."""
    return Path(path).stem


def case_view(path: str) -> CaseView:
    """A case with its gaps and next steps; worked out once for one content of files and book."""
    mark = case_mark(book_url(), Path(path))
    with st.spinner(texts.WORKING.format(case=case_name(path)), show_time=True):
        return worked_out(book_url(), path, mark)


@st.cache_data(show_spinner=False, max_entries=64)
def worked_out(book: str | None, path: str, mark: str) -> CaseView:
    """The view of a case; ``mark`` tells one content of files and book from another."""
    return view_case(book, Path(path))
