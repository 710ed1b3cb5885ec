"""Where the page's cases come from: the folder and the book that the app was started with."""

from __future__ import annotations

import os
from pathlib import Path

import streamlit as st

from stainbook.pages.shell import texts
from stainbook.work.app.jobs import Job, Jobs
from stainbook.work.app.waiting import Board, Waiting, newest_cases
from stainbook.work.case.case_desk import CaseDesk, open_desk, so_far
from stainbook.work.case.case_plan import PlanAsked, plan_of
from stainbook.work.case.case_views import case_files_in, case_mark, view_gaps
from stainbook.work.case.chosen import chosen_steps, moves_of
from stainbook.work.case.views import CaseView
from stainbook.work.documents.plan_schemas import PlanResult
from stainbook.work.documents.schemas import Move
from stainbook.work.sheets.chosen_sheet import MixAmount, bench_sheet
from stainbook.work.sheets.chosen_sheet import scale_step as scale_step_of

PATIENCE = 0.6  # seconds that a page waits before it shows how far the work is
DESKS, PLANS = 6, 24  # worked-out cases and plans that are kept, the newest


def folder() -> Path:
    """The folder that holds the case files."""
    return Path(os.environ.get("STAINBOOK_FOLDER") or Path.cwd())


def book_url() -> str | None:
    """The book's URL, None for the default one."""
    return os.environ.get("STAINBOOK_BOOK")


def case_files(also: str | None = None) -> list[str]:
    """The files of the cases in the lab, by name, and ``also``; where none is in the lab, of all cases."""
    found = {str(path) for path in newest(out=False)} | ({also} if also and Path(also).is_file() else set())
    return sorted(found) or [str(path) for path in case_files_in(folder())]


def case_name(path: str) -> str:
    """What a case file is called in a list."""
    return Path(path).stem


def desk_job(path: str, *, again: bool = False) -> Job[CaseDesk]:
    """The work on a case, begun once for one content of files and book; ``again`` one that was stopped."""
    book, mark = book_url(), case_mark(book_url(), Path(path))
    return _desks().begun((book, path, mark), lambda watch: open_desk(book, Path(path), watch), again=again)


def desk_of(path: str, job: Job[CaseDesk]) -> CaseDesk:
    """The case as far as it is worked out: whole once the work is done, else its gaps and the steps found until now.

    Raises what the work raised.
    """
    if job.settled(PATIENCE) and not job.was_stopped:
        return job.result()
    return CaseDesk(so_far(gaps_view(path), job.watch.found), partly=True)


def case_view(path: str) -> CaseView:
    """A case with its gaps and next steps, waited for; as far as it was found where the work was stopped."""
    job = desk_job(path)
    if not job.settled(PATIENCE):
        with st.spinner(texts.WORKING.format(case=case_name(path)), show_time=True):
            job.wait()
    return desk_of(path, job).view


def moves_now(path: str) -> dict[tuple[int, str], Move]:
    """What is to be done next on each zone: what was chosen, else the first step of its advice."""
    desk = desk_of(path, desk_job(path))
    return moves_of(desk, chosen_steps(book_url(), desk.view.case))


def plan_job(path: str, mixes: int, *, again: bool = False) -> Job[PlanResult]:
    """The work on a plan of so many mixes, begun once."""
    book, mark = book_url(), case_mark(book_url(), Path(path))
    wish = PlanAsked(most=mixes, trade_off=True)
    return _plans().begun((book, path, mark, mixes), lambda watch: plan_of(book, Path(path), wish, watch), again=again)


def plan_begun(path: str, mixes: int) -> Job[PlanResult] | None:
    """The plan of so many mixes, where it was asked for."""
    return _plans().get((book_url(), path, case_mark(book_url(), Path(path)), mixes))


@st.cache_resource(show_spinner=False)
def _desks() -> Jobs[CaseDesk]:
    return Jobs(DESKS)


@st.cache_resource(show_spinner=False)
def _plans() -> Jobs[PlanResult]:
    return Jobs(PLANS)


def forget_all() -> None:
    """Forget everything that was worked out."""
    _desks().clear()
    _plans().clear()


def gaps_view(path: str) -> CaseView:
    """A case with its gaps alone, which are there at once."""
    return view_gaps(book_url(), Path(path))


def sheet_of(path: str, batch: MixAmount | None = None) -> tuple[str, str]:
    """The bench sheet of a case as it stands on a page, and as a page of its own to print."""
    job = desk_job(path)
    job.wait()
    desk = desk_of(path, job)
    return bench_sheet(book_url(), Path(path), desk, chosen_steps(book_url(), desk.view.case), batch)


def scale_step() -> str:
    """The step of the lab's scale in grams, as it is typed."""
    return f"{scale_step_of(book_url()):g}"


def newest(words: str = "", *, out: bool | None = None) -> list[Path]:
    """The case files, the one changed last first; ``words`` must stand in the name, ``out``: in the lab or not."""
    return [path for path in newest_cases(folder(), out=out) if words.casefold() in path.stem.casefold()]


def waiting(paths: list[Path]) -> list[Waiting]:
    """How some cases stand; each worked out once until something concerns it."""
    return _board(book_url()).standing(book_url(), paths)


@st.cache_resource(show_spinner=False)
def _board(book: str | None) -> Board:
    return Board()
