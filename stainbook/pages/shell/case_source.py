"""Where the pages' cases come from: the book that the app was started with, opened once."""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path

import streamlit as st

from stainbook.book import Book
from stainbook.errors import InputError
from stainbook.faces.app_types import Board, Job, Jobs, Waiting
from stainbook.lab import Lab
from stainbook.pages.shell import texts
from stainbook.work.app.shipped import shipped
from stainbook.work.app.waiting import newest_cases
from stainbook.work.case.case_desk import CaseDesk, Step, open_desk, so_far
from stainbook.work.case.case_files import case_files_in, code_of
from stainbook.work.case.case_plan import PlanAsked, plan_file
from stainbook.work.case.case_views import case_mark, view_gaps
from stainbook.work.case.chosen import chosen_steps, moves_of
from stainbook.work.case.current_case import known_case
from stainbook.work.case.open_case import open_file
from stainbook.work.case.views import CaseView
from stainbook.work.documents.plan_schemas import PlanResult
from stainbook.work.documents.schemas import Move
from stainbook.work.sheets.chosen_sheet import MixAmount, bench_sheet
from stainbook.work.sheets.chosen_sheet import scale_step as scale_step_of

PATIENCE = 0.6  # seconds that a page waits before it shows how far the work is
DESKS, PLANS = 6, 24  # worked-out cases and plans that are kept, the newest


def folder() -> Path:
    """The folder whose case files may be brought in."""
    return Path(os.environ.get("STAINBOOK_FOLDER") or Path.cwd())


def readable() -> tuple[Path, ...]:
    """The folders that pages may read files in: that of the case files, and what ships."""
    return folder(), shipped("recipes")


def book_url() -> str | None:
    """The book's URL, None for the default one."""
    return os.environ.get("STAINBOOK_BOOK")


def lab() -> Lab:
    """The lab of the app: all views of one place share one open book."""
    return _lab_of(book_url())


@cache
def _lab_of(url: str | None) -> Lab:
    return Lab(url)


def book() -> Book:
    """The book that the app was started with."""
    return lab().book


def case_codes(also: str | None = None) -> list[str]:
    """The cases that are in the lab, by code, and ``also``; where none is in the lab, all cases."""
    known = book().names("case")
    found = set(newest(out=False)) | ({also} if also in known else set())
    return sorted(found - {None}) or sorted(known)


def case_id(code: str) -> str:
    """The random id of a case, as addresses name it."""
    return book().case_ids().get(code, "")


def case_of_id(found: str) -> str | None:
    """The case of an id, None where the book has none."""
    return next((code for code, one in book().case_ids().items() if one == found), None)


def desk_job(code: str, *, again: bool = False) -> Job[CaseDesk]:
    """The work on a case, begun once for one content of the book; ``again`` one that was stopped."""
    own = book()
    key = book_url(), code, case_mark(own, code)
    return _desks().begun(key, lambda watch: open_desk(own, code, watch), again=again)


def desk_of(code: str, job: Job[CaseDesk]) -> CaseDesk:
    """The case as far as it is worked out: whole once the work is done, else its gaps and the steps found until now.

    Raises what the work raised.
    """
    if job.settled(PATIENCE) and not job.was_stopped:
        return job.result()
    return CaseDesk(so_far(gaps_view(code), job.watch.found), partly=True)


def case_view(code: str) -> CaseView:
    """A case with its gaps and next steps, waited for; as far as it was found where the work was stopped."""
    job = desk_job(code)
    if not job.settled(PATIENCE):
        with st.spinner(texts.WORKING.format(case=code), show_time=True):
            job.wait()
    return desk_of(code, job).view


def moves_now(code: str) -> dict[tuple[int, str], Move]:
    """What is to be done next on each zone: what was chosen for it as it stands, else the first step of its advice."""
    desk = desk_of(code, desk_job(code))
    return moves_of(desk, chosen_now(desk))


def chosen_now(desk: CaseDesk) -> dict[tuple[int, str], Step]:
    """The steps that were chosen for the zones as they stand now."""
    return chosen_steps(known_case(book(), desk.view.case.case).state)


def plan_job(code: str, mixes: int, *, again: bool = False) -> Job[PlanResult]:
    """The work on a plan of so many mixes, begun once."""
    own, wish = book(), PlanAsked(most=mixes, trade_off=True)
    key = book_url(), code, case_mark(own, code), mixes
    return _plans().begun(key, lambda watch: plan_file(own, code, wish, watch=watch), again=again)


def plan_begun(code: str, mixes: int) -> Job[PlanResult] | None:
    """The plan of so many mixes, where it was asked for."""
    return _plans().get((book_url(), code, case_mark(book(), code), mixes))


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


def gaps_view(code: str) -> CaseView:
    """A case with its gaps alone, which are there at once."""
    return view_gaps(book(), code)


def sheet_of(code: str, batch: MixAmount | None = None) -> tuple[str, str]:
    """The bench sheet of a case as it stands on a page, and as a page of its own to print."""
    job = desk_job(code)
    job.wait()
    desk = desk_of(code, job)
    return bench_sheet(book(), code, desk, chosen_now(desk), batch)


def scale_step() -> str:
    """The step of the lab's scale in grams, as it is typed."""
    return f"{scale_step_of(book()):g}"


def newest(words: str = "", *, out: bool | None = None) -> list[str]:
    """The cases, the one told of last first; ``words`` must stand in the code, ``out``: in the lab or not."""
    return [code for code in newest_cases(book(), out=out) if words.casefold() in code.casefold()]


def waiting(codes: list[str]) -> list[Waiting]:
    """How some cases stand; each worked out once until something concerns it."""
    return lab().app.standing(_board(book_url()), codes)


def not_brought_in() -> list[Path]:
    """Case files of the folder whose cases the book does not know."""
    known = set(book().names("case"))
    return [path for path in case_files_in(folder()) if code_of(path) not in known]


def bring_in(paths: list[Path]) -> list[str]:
    """Bring case files into the book; gives a line for each that cannot be used."""
    told = []
    for path in paths:
        try:
            open_file(book(), path)
        except InputError as error:
            told.append(str(error))
    return told


@st.cache_resource(show_spinner=False)
def _board(book: str | None) -> Board:
    return Board()
