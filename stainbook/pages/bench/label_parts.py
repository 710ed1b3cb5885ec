"""The buttons beside the way of a case: its timeline, and the label of its job tray."""

from __future__ import annotations

import streamlit as st

from stainbook.pages.bench import timeline_texts as words
from stainbook.pages.shell import case_source
from stainbook.pages.shell.page_frame import go_to, in_this_language


def label_button(code: str) -> None:
    """The label as PDF; its help says what to set where it would have no QR code."""
    made = in_this_language(lambda: case_source.case(code).label_file("pdf"))
    why = None if case_source.lab().settings.now().host else words.NO_HOST
    st.download_button(
        words.LABEL, made, f"label-{code}.pdf", "application/pdf", on_click="ignore", key="label", help=why
    )


def beside_the_way(code: str) -> None:
    """To the timeline, and the label."""
    with st.container(horizontal=True):
        if st.button(words.TO_TIMELINE):
            go_to("timeline_page")
        label_button(code)
