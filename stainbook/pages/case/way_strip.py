"""The way of a piece as one strip, each step with its date, and one press for what was done next."""

from __future__ import annotations

from html import escape

import streamlit as st

from stainbook.errors import InputError
from stainbook.pages.case.case_shown import ShownCase
from stainbook.pages.shell import case_source, texts, wording
from stainbook.pages.shell import way_texts as words
from stainbook.pages.shell.page_frame import keeping
from stainbook.pages.widgets.markup import show_markup
from stainbook.work.case.way import DID, did, next_steps, undo_did, way_of
from stainbook.work.stains.painted import painted_layers


def show_way(shown: ShownCase) -> None:
    """The strip, and beside it what may be noted now."""
    state = shown.view.state
    if state is None:
        return
    steps = "".join(
        f'<span class="{"here" if one.now else ""}"><b>{escape(texts.STAGE.get(one.word, one.word))}</b>'
        f"<small>{escape(wording.moment(one.at)) if one.at else ''}</small></span>"
        for one in way_of(state)
    )
    strip, do = st.columns([8, 5], vertical_alignment="center")
    with strip:
        show_markup(f'<div class="way" role="list" aria-label="{words.WAY_LABEL}">{steps}</div>', key="way")
    with do, st.container(horizontal=True, horizontal_alignment="right"):
        for step in next_steps(state)[:2]:
            _one(shown.code, step)
        last = state.last
        if last is not None and last.what in DID and last.id:
            label = words.UNDO_LAST.format(step=words.STEP_DONE[last.what])
            if st.button(label, key=f"undo {last.what}"):
                _do(lambda: undo_did(case_source.book(), shown.code, last.what))


def _one(code: str, step: str) -> None:
    label = words.STEP_DONE[step]
    if step != "coloured":
        if st.button(label, key=f"did {step}"):
            _do(lambda: did(case_source.book(), code, step))
        return
    with st.popover(label):
        mix = st.text_input(words.LIQUIDS_LABEL, **keeping(f"liquids {code}"))
        if st.button(words.STEP_DONE["coloured"], key="did coloured", disabled=not mix.strip()):
            _do(lambda: did(case_source.book(), code, "coloured", layers=painted_layers(mix)))


def _do(act: object) -> None:
    assert callable(act)
    try:
        act()
    except InputError as error:
        st.warning(words.NOT_DONE.format(reason=error))
        return
    st.rerun()
