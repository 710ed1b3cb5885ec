"""The bench sheet on the screen, in large type, and to print."""

from __future__ import annotations

from typing import Literal

import streamlit as st

from stainbook.errors import InputError
from stainbook.pages.bench.label_parts import label_button
from stainbook.pages.case import case_texts as words
from stainbook.pages.case.case_head import case_head
from stainbook.pages.plan import tick_texts as tick_words
from stainbook.pages.plan.tick_parts import all_painted, paint_all, said_of, show_passes, still_shown
from stainbook.pages.shell import case_source, texts
from stainbook.pages.shell.long_work import show_pace
from stainbook.pages.shell.number_field import typed_as
from stainbook.pages.shell.page_frame import go_to, keeping, show_page
from stainbook.pages.shell.pressing import pressed, tell
from stainbook.pages.widgets.markup import show_markup
from stainbook.pages.widgets.touch import finger_targets
from stainbook.work.documents.plan_schemas import PlanResult


def _draw() -> None:
    head = case_head(words.SHEET_TITLE)
    if head is None:
        return
    finger_targets()
    code = head.code
    grams, step, ways = st.columns([3, 3, 8], vertical_alignment="bottom")
    desk = case_source.case(code).sheet_desk
    if not desk.is_ready(case_source.PATIENCE):
        show_pace(desk.job())
        return
    amount = grams.text_input(words.BATCH, help=words.BATCH_HELP, **keeping(f"batch {code}"))
    usual = typed_as(case_source.lab().settings.scale_step())
    scale = step.text_input(words.SCALE, help=words.SCALE_HELP, **keeping("scale step", usual))
    try:
        on_page, printed = desk.sheet(amount, scale)
        sheet, plan = desk.on_screen(amount, scale), desk.sheet_plan(amount, scale)
    except InputError as error:
        st.warning(words.CANNOT_WEIGH.format(reason=error))
        on_page, printed = desk.sheet()
        sheet, plan = desk.on_screen(), desk.sheet_plan()
    ticked = sheet is not None and plan is not None and plan.stage != "green"
    with ways.container(horizontal=True, horizontal_alignment="right"):
        if st.button(words.TO_CASE_PAGE):
            go_to("case_page")
        if ticked and st.button(texts.TO_RESULT):
            go_to("result_page")
        label_button(code)
        name = f"bench-{code}.html"
        look: Literal["primary", "secondary"] = "secondary" if ticked else "primary"
        place = st if ticked else head.press
        place.download_button(words.PRINT_SHEET, printed, name, "text/html", on_click="ignore", type=look)
    holds = plan is None or still_shown(code, plan)
    with head.press:
        if ticked and plan is not None:
            _main(code, plan, holds=holds)
        elif st.button(texts.TO_RESULT):
            go_to("result_page")
    if not ticked or sheet is None or plan is None:
        show_markup(f'<div class="sheet">{on_page}</div>', key="bench sheet")
        return
    show_markup(f'<div class="sheet">{sheet.before}</div>', key="bench sheet")
    st.markdown(tick_words.TICK_HELP)
    show_passes(code, sheet, plan, holds=holds)
    show_markup(f'<div class="sheet-part">{sheet.after}</div>', key="sheet after")


def _main(code: str, plan: PlanResult, *, holds: bool) -> None:
    """The one thing to press: all was painted as the sheet says; then on to what came out."""
    if all_painted(code, plan):
        if st.button(tick_words.TO_RESULT, type="primary"):
            go_to("result_page")
        return
    if pressed(said_of(plan), key="paint all", type="primary"):
        if not holds:
            tell(tick_words.MOVED_ON)
            return
        try:
            paint_all(code, plan)
        except InputError as error:
            tell(tick_words.CANNOT_TICK.format(reason=error))
            return
        go_to("result_page")


show_page(words.SHEET_TITLE, _draw, cannot=texts.CANNOT_SHOW, headed=True)
