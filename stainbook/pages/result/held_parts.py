"""Outcomes that the learning holds back, shown with why; somebody says that it was really so, or that it was wrong."""

from __future__ import annotations

import streamlit as st

from stainbook.pages.result import held_texts as words
from stainbook.pages.shell import case_source
from stainbook.pages.shell.page_frame import keep, kept
from stainbook.pages.shell.plain import plain
from stainbook.pages.shell.pressing import writing_button
from stainbook.words.places import place as place_name
from stainbook.work.documents.book_schemas import HeldOutcome


def held_outcomes(case: str) -> None:
    """The case's outcomes that are held back, each with two buttons; nothing where there are none."""
    said = kept(f"decided {case}", None)
    if said:
        st.success(plain(said))
        keep(f"decided {case}", None)
    held = case_source.lab().stains.held(case)
    if not held:
        return
    st.subheader(words.TITLE, anchor=False)
    st.markdown(words.WHAT_TO_DO)
    for one in held:
        _one(case, one)


def _one(case: str, one: HeldOutcome) -> None:
    with st.container(border=True):
        st.markdown(plain(one.why, longest=None))
        why = st.text_input(words.WHY, key=f"why held {one.outcome}")
        with st.container(horizontal=True):
            so = writing_button(words.SO, help=words.SO_HELP, key=f"so {one.outcome}")
            wrong = writing_button(words.WRONG, help=words.WRONG_HELP, key=f"wrong {one.outcome}")
    if so or wrong:
        verdict = "wrong" if wrong else "true"
        case_source.lab().stains.decide(
            one.case, (one.tooth, one.zone), verdict, why=why.strip() or None, fired_at=one.fired_at
        )
        keep(f"decided {case}", words.DONE[verdict].format(name=place_name(one.tooth, one.zone)))
        st.rerun()
