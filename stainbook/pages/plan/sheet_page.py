"""The bench sheet on the screen, in large type, and to print."""

from __future__ import annotations

import streamlit as st

from stainbook.errors import InputError
from stainbook.pages.bench.label_parts import label_button
from stainbook.pages.case import case_texts as words
from stainbook.pages.case.case_head import case_head
from stainbook.pages.shell import case_source, texts
from stainbook.pages.shell.long_work import show_pace
from stainbook.pages.shell.number_field import typed_as
from stainbook.pages.shell.page_frame import go_to, keeping, show_page
from stainbook.pages.widgets.markup import show_markup


def _draw() -> None:
    head = case_head(words.SHEET_TITLE)
    if head is None:
        return
    code = head.code
    grams, step, ways = st.columns([3, 3, 8], vertical_alignment="bottom")
    desk = case_source.case(code).desk
    job = desk.job()
    if not job.settled(case_source.PATIENCE):
        show_pace(job)
        return
    amount = grams.text_input(words.BATCH, help=words.BATCH_HELP, **keeping(f"batch {code}"))
    usual = typed_as(case_source.lab().settings.scale_step())
    scale = step.text_input(words.SCALE, help=words.SCALE_HELP, **keeping("scale step", usual))
    try:
        on_page, printed = desk.sheet(amount, scale)
    except InputError as error:
        st.warning(words.CANNOT_WEIGH.format(reason=error))
        on_page, printed = desk.sheet()
    with ways.container(horizontal=True, horizontal_alignment="right"):
        if st.button(words.TO_CASE_PAGE):
            go_to("case_page")
        if st.button(texts.TO_RESULT):
            go_to("result_page")
        label_button(code)
    name = f"bench-{code}.html"
    head.press.download_button(words.PRINT_SHEET, printed, name, "text/html", on_click="ignore", type="primary")
    show_markup(f'<div class="sheet">{on_page}</div>', key="bench sheet")


show_page(words.SHEET_TITLE, _draw, cannot=texts.CANNOT_SHOW, headed=True)
