"""The plan: a few mixes for the whole case, where each goes, and what each one more is worth."""

from __future__ import annotations

from functools import partial

import streamlit as st

from stainbook.pages.case import case_texts as words
from stainbook.pages.case.case_head import case_head
from stainbook.pages.case.page_choices import CaseChoices, choices
from stainbook.pages.plan.plan_parts import show_mixes, show_on_arch, show_suffering, show_trade, show_zones, take_over
from stainbook.pages.shell import case_source, texts
from stainbook.pages.shell.long_work import show_pace
from stainbook.pages.shell.page_frame import do, go_to, show_page, to_stripes
from stainbook.pages.shell.plain import plain
from stainbook.pages.shell.pressing import pressed
from stainbook.work.documents.plan_schemas import PlanResult

MOST = 10  # mixes that can be asked for here


def _draw() -> None:
    head = case_head(words.PLAN_TITLE)
    if head is None:
        return
    code, place = head.code, head.press
    desk = case_source.case(code).desk
    if any(zone.gap and zone.why and zone.verdict == "stain" for zone in desk.gaps().advised.zones):
        st.info(words.CANNOT_PLAN.format(reason=words.NO_STAINS_YET))
        to_stripes()
        return
    here = choices().here
    _count(code, here)
    job = desk.plan_begun(here.mixes)
    if job is None or (job.wait(0) and job.was_stopped):
        with place:
            if pressed(words.MAKE_PLAN, looks=True, type="primary"):
                do(lambda: desk.plan(here.mixes, again=True).wait(case_source.PATIENCE), cannot=texts.CANNOT)
        st.markdown(words.NO_PLAN_YET if job is None else words.PLAN_STOPPED)
        return
    if not job.settled(case_source.PATIENCE):
        show_pace(job)
        return
    _show(code, job.result(), place)


def _count(code: str, here: CaseChoices) -> None:
    key = f"mixes {code}"
    if key not in st.session_state:
        st.session_state[key] = here.mixes

    def take() -> None:
        here.mixes = int(st.session_state[key])

    st.number_input(words.MIXES_LABEL, 1, MOST, key=key, on_change=take, width=320)


def _show(code: str, plan: PlanResult, press: st.delta_generator.DeltaGenerator) -> None:
    with press:
        taken = take_over(code, plan)
    arch, detail = st.columns([3, 2], gap="medium")
    with arch:
        show_on_arch(plan)
    with detail:
        show_mixes(code, plan)
        with st.container(horizontal=True):
            if not taken and pressed(words.TO_SHEET):
                do(partial(_to_sheet, code, plan), cannot=texts.CANNOT)
            if st.button(words.TO_CASE_PAGE):
                go_to("case_page")
    suffering, trade = st.columns([3, 2], gap="medium")
    with suffering:
        show_suffering(plan)
    with trade:
        show_trade(plan)
    show_zones(plan)
    for warning in plan.warnings:
        st.caption(plain(warning))


def _to_sheet(code: str, plan: PlanResult) -> None:
    case_source.case(code).desk.take_over(plan)
    go_to("sheet_page")


show_page(words.PLAN_TITLE, _draw, cannot=texts.CANNOT_SHOW, headed=True)
