"""The choice of a case, the same on every page."""

from __future__ import annotations

import streamlit as st

from stainbook.pages.case.case_state import PageChoices
from stainbook.pages.shell import case_source, texts
from stainbook.pages.shell.page_frame import go_to


def some_case(chosen: PageChoices) -> str | None:
    """Let the user choose a case and give its path; None, with what to do, where there is none."""
    files = case_source.case_files(chosen.case)
    if not files:
        st.info(texts.NO_CASES.format(folder=case_source.folder()))
        if st.button(texts.MAKE_FIRST_CASE, type="primary"):
            go_to("new_case_page")
        return None
    if chosen.case not in files:
        chosen.case = files[0]

    def take() -> None:
        chosen.case = st.session_state["case_file"]

    st.selectbox(
        texts.CHOOSE_CASE,
        files,
        index=files.index(chosen.case),
        format_func=case_source.case_name,
        key="case_file",
        on_change=take,
    )
    return chosen.case
