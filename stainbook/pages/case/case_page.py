"""The case: where each zone is, where it must go, and what to do next."""

from __future__ import annotations

import streamlit as st

from stainbook.faces.desk_types import CaseDesk, Job
from stainbook.pages.bench.again_parts import done_last_time
from stainbook.pages.bench.label_parts import beside_the_way
from stainbook.pages.case import case_texts as words
from stainbook.pages.case.case_arch import show_arch, show_list
from stainbook.pages.case.case_choice import some_case
from stainbook.pages.case.case_mixer import show_mixer
from stainbook.pages.case.case_parts import (
    show_by_eye,
    show_case_cautions,
    show_chance,
    show_facts,
    show_steps,
    show_ways_on,
    show_zone,
)
from stainbook.pages.case.case_plots import show_plots
from stainbook.pages.case.case_shown import ShownCase
from stainbook.pages.case.page_choices import choices
from stainbook.pages.case.way_strip import show_way
from stainbook.pages.shell import case_source, texts
from stainbook.pages.shell.long_work import show_pace
from stainbook.pages.shell.page_frame import show_page
from stainbook.pages.shell.plain import counted, plain


def _draw() -> None:
    chosen = choices()
    choice, facts, whole = st.columns([5, 11, 6], vertical_alignment="bottom")
    with choice:
        code = some_case(chosen)
    if code is None:
        return
    face = case_source.case(code).desk
    job = face.job()
    desk = face.found(job, case_source.PATIENCE)
    _pace(code, job)
    for warning in desk.view.warnings:
        st.info(plain(warning))
    if not desk.view.advised.zones:
        st.info(texts.NO_ZONES)
        return
    shown = ShownCase.of(code, desk, chosen)
    with facts:
        show_facts(shown)
    with whole:
        show_chance(shown)
    _show_case(shown)


def _pace(code: str, job: Job[CaseDesk]) -> None:
    """How far the work on the steps is, or that it was stopped."""
    if not job.wait(0):
        show_pace(job)
    elif job.was_stopped:
        pace = job.watch.pace
        st.info(counted(words.STOPPED, len(job.watch.found), of=pace.of))
        if st.button(words.GO_ON):
            case_source.case(code).desk.job(again=True)
            st.rerun()


def _show_case(shown: ShownCase) -> None:
    show_way(shown)
    arch, detail = st.columns([3, 2], gap="medium")
    with arch:
        show_arch(shown)
    with detail:
        show_zone(shown)
        show_ways_on(shown)
    if shown.chosen.here.mix is None:
        show_steps(shown)
    else:
        show_mixer(shown)
    done_last_time(shown)
    beside_the_way(shown.code)
    show_case_cautions(shown)
    show_plots(shown)
    show_list(shown)
    show_by_eye(shown.view)


show_page(texts.TITLE, _draw, cannot=texts.CANNOT_SHOW)
