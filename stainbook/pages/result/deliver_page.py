"""Accepted by whom, delivered, come back and why; and the report that goes with the piece."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

import streamlit as st

from stainbook.faces.firing_types import KINDS, DeliveryState, DeliveryView, file_name, listed
from stainbook.lab import LabCase
from stainbook.language import capitalised
from stainbook.pages.case.case_head import case_head
from stainbook.pages.shell import case_source, texts, wording
from stainbook.pages.shell import way_texts as words
from stainbook.pages.shell.caution_parts import show_cautions
from stainbook.pages.shell.page_frame import do, in_this_language, keeping, show_page
from stainbook.pages.shell.pressing import pressed
from stainbook.pages.widgets.markup import show_markup
from stainbook.pages.widgets.tables import table
from stainbook.pages.widgets.zone_list import list_markup
from stainbook.words import safety
from stainbook.words.escaping import escape


def _draw() -> None:
    head = case_head(words.DELIVER_TITLE)
    if head is None:
        return
    code = head.code
    case = case_source.case(code)
    desk = case.handover()
    _main(case, desk, head.press)
    stands, acts = st.columns([7, 5], gap="large")
    with stands:
        _stands(desk.state)
        show_cautions(safety.AT["delivery"])
        _story(desk)
    with acts:
        _received(case, desk.state)
        _report(case, code)
    st.subheader(texts.ZONES_TITLE, anchor=False)
    show_markup(list_markup(case.desk.gaps().advised.zones), key="zones")


def _do(act: Callable[[], object]) -> None:
    do(act, cannot=words.CANNOT_HAND)


def _main(case: LabCase, desk: DeliveryView, press: Any) -> None:
    """Deliver is the one thing to press; it stays shut while something bars it."""
    state = desk.state
    shut = state.barred is not None or state.is_out
    why = ""
    if state.missing and not shut:
        st.info(words.MISSING_FINISH.format(reason=capitalised(state.missing)))
        if pressed(words.GLAZED_ALL):
            _do(case.glazed_all)
        why = st.text_input(words.AS_IS, **keeping(f"as is {state.case.case}"))
    label = words.DELIVER.format(case=state.case.case)
    barred = shut or bool(state.missing and not why.strip())
    if pressed(label, place=press, key="deliver", type="primary", disabled=barred):
        _do(lambda: case.deliver(as_is=why.strip() or None))
    if desk.undoable and pressed(words.UNDO_STEP.format(step=desk.undoable), key="undo received"):
        _do(case.undo_received)


def _stands(state: DeliveryState) -> None:
    st.subheader(words.STANDS_TITLE, anchor=False)
    rows = []
    for grade, (sign, said) in words.GRADES.items():
        zones = state.zones[grade]
        rows.append((sign, str(len(zones)), escape(said), escape(listed(zones))))
    show_markup(table(words.STANDS_HEADS, [row for row in rows if row[1] != "0"], numbers=(1,)), key="stands")
    if state.is_out:
        st.markdown(words.WAS_DELIVERED)
    elif state.case.returned:
        st.info(words.HAS_RETURNED.format(reason=words.RETURNED_FOR[state.case.returned]))
    elif state.barred:
        st.info(words.BARRED.format(reason=state.barred))
    else:
        st.markdown(words.FREE)


def _story(desk: DeliveryView) -> None:
    st.subheader(words.STORY_TITLE, anchor=False)
    if not desk.story:
        st.markdown(words.NO_STORY)
        return
    rows = [(wording.moment(one.at), escape(one.what), escape(one.who)) for one in desk.story]
    show_markup(table(words.STORY_HEADS, rows, wide=1), key="story")


def _received(case: LabCase, state: DeliveryState) -> None:
    """Acceptance, and a return once it is out."""
    by = st.radio(words.ACCEPT_LABEL, list(words.ACCEPT_BY), format_func=words.ACCEPT_BY.__getitem__, horizontal=True)
    if pressed(words.ACCEPT.format(by=words.ACCEPT_BY[by]), width="stretch"):
        _do(lambda: case.accept(by))
    if not state.is_out and state.case.returned is None:
        return
    why = st.selectbox(words.RETURN_LABEL, list(words.RETURNED_FOR), format_func=words.RETURNED_FOR.__getitem__)
    if pressed(words.COMES_BACK, width="stretch"):
        _do(lambda: case.take_return(why))


def _report(case: LabCase, code: str) -> None:
    st.subheader(words.REPORT_TITLE, anchor=False)
    st.caption(words.REPORT_NOTE)
    as_the_lab_has_it = case_source.lab().settings.now().annex
    annex = st.checkbox(words.ANNEX, **keeping(f"annex {code}", as_the_lab_has_it))
    st.caption(words.ANNEX_HELP)
    for kind, media in KINDS.items():
        st.download_button(
            words.REPORTS[kind],
            in_this_language(partial(case.report_file, kind, annex=annex)),
            file_name(code, kind),
            media,
            on_click="ignore",
            key=f"report {kind}",
            width="stretch",
        )


show_page(words.DELIVER_TITLE, _draw, cannot=texts.CANNOT, headed=True)
