"""Where the page's cases come from: the folder and the book that the app was started with."""

from __future__ import annotations

import os
from pathlib import Path

import streamlit as st

from stainbook.pages import texts
from stainbook.work.case_views import bench_page, case_files_in, case_mark, view_case, view_gaps
from stainbook.work.views import CaseView
from stainbook.work.waiting import Waiting, newest_cases, waiting_case, waiting_marks


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


def gaps_view(path: str) -> CaseView:
    """A case with its gaps alone, which are there at once."""
    return view_gaps(book_url(), Path(path))


def bench_sheet(path: str) -> str:
    """The bench sheet of a case as a page to print."""
    return bench_page(book_url(), Path(path))


def newest(words: str = "") -> list[Path]:
    """The case files, the one changed last first; ``words`` must stand in the name."""
    return [path for path in newest_cases(folder()) if words.casefold() in path.stem.casefold()]


def waiting(paths: list[Path]) -> list[Waiting]:
    """How some cases stand; each worked out once for one content of files and book."""
    marks = waiting_marks(book_url(), paths)
    return [waits(book_url(), str(path), mark) for path, mark in zip(paths, marks, strict=True)]


@st.cache_data(show_spinner=False, max_entries=2000)
def waits(book: str | None, path: str, mark: str) -> Waiting:
    """How a case stands; ``mark`` tells one content of files and book from another."""
    return waiting_case(book, Path(path))
