"""The case: where each zone is, where it must go, and what to do next."""

from __future__ import annotations

import streamlit as st

from stainbook.faces.desk_types import CaseDesk, Job
from stainbook.pages.bench.again_parts import done_last_time
from stainbook.pages.bench.label_parts import beside_the_way
from stainbook.pages.case import case_texts as words
from stainbook.pages.case.case_arch import show_arch, show_legends, show_list
from stainbook.pages.case.case_head import case_head
from stainbook.pages.case.case_mixer import show_mixer
from stainbook.pages.case.case_parts import (
    main_press,
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
from stainbook.pages.case.way_strip import show_noting
from stainbook.pages.shell import case_source, texts
from stainbook.pages.shell.long_work import show_pace
from stainbook.pages.shell.page_frame import show_page, to_stripes
from stainbook.pages.shell.plain import counted, plain


def _draw() -> None:
    head = case_head(texts.TITLE)
    if head is None:
        return
    code = head.code
    face = case_source.case(code).desk
    job = face.job()
    desk = face.found(job, case_source.PATIENCE)
    _pace(code, job)
    for warning in desk.view.warnings:
        st.info(plain(warning))
    if not desk.view.advised.zones:
        st.info(texts.NO_ZONES)
        return
    shown = ShownCase.of(code, desk, choices())
    main_press(shown, head.press)
    if desk.detail is None and not shown.partly:  # no stain was calibrated
        to_stripes()
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
    """One screen decides: the arch, and beside it the gap, the swatches and the next step; the rest is below it."""
    with st.container(key="case_screen"):
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
    facts, whole = st.columns([3, 1], vertical_alignment="center")
    with facts:
        show_facts(shown)
    with whole:
        show_chance(shown)
    show_noting(shown)
    beside_the_way(shown.code)
    show_case_cautions(shown)
    show_legends(shown)
    show_plots(shown)
    show_list(shown)
    show_by_eye(shown.view)


show_page(texts.TITLE, _draw, cannot=texts.CANNOT_SHOW, headed=True)
