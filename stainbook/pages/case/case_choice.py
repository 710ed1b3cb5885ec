"""The choice of a case, the same on every page; the address names it, so that each device shows the same one."""

from __future__ import annotations

from typing import Any

import streamlit as st

from stainbook.pages.case.page_choices import PageChoices
from stainbook.pages.shell import case_source, texts
from stainbook.pages.shell.page_frame import go_to

_ADDRESS = "case"  # in a page's address, with the case's random id


def some_case(chosen: PageChoices, *, place: Any = None) -> str | None:
    """Let the user choose a case and give its code; None, with what to do, where there is none.

    place : where the choice stands, without a label of its own; None for here
    """
    where, look = (st, {}) if place is None else (place, {"label_visibility": "collapsed"})
    known, named = case_source.lab().cases.listed(), st.query_params.get(_ADDRESS)
    if chosen.case is None and named:
        chosen.case = known.of_id(named)
    codes = known.offered(chosen.case)
    if not codes:
        st.info(texts.NO_CASES.format(folder=case_source.folder()))
        if st.button(texts.MAKE_FIRST_CASE, type="primary"):
            go_to("new_case_page")
        return None

    def take() -> None:
        chosen.case = st.session_state["case_file"]

    named_in_vain = chosen.case is None and bool(named)
    if named_in_vain or (chosen.case is not None and chosen.case not in codes):  # never another case without a word
        st.info(texts.NO_SUCH_CASE)
        where.selectbox(texts.CHOOSE_CASE, codes, index=None, key="case_file", on_change=take, **look)
        return None
    chosen.case = chosen.case or codes[0]
    where.selectbox(texts.CHOOSE_CASE, codes, index=codes.index(chosen.case), key="case_file", on_change=take, **look)
    st.query_params[_ADDRESS] = known.ids[chosen.case]
    return chosen.case
