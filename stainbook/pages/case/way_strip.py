"""The way of a piece as one strip, each step with its date, and one press for what was done next."""

from __future__ import annotations

import streamlit as st

from stainbook.pages.case.case_shown import ShownCase
from stainbook.pages.lab import discs_texts as disc_words
from stainbook.pages.shell import case_source, wording
from stainbook.pages.shell import way_texts as words
from stainbook.pages.shell.page_frame import do, go_to, keep, keeping, kept
from stainbook.pages.widgets.markup import show_markup
from stainbook.words.escaping import escape


def show_way(shown: ShownCase) -> None:
    """The strip, and beside it what may be noted now."""
    way = case_source.case(shown.code).way
    strip = way.strip()
    steps = "".join(
        f'<span class="{"here" if one.now else ""}"><b>{escape(one.word)}</b>'
        f"<small>{escape(wording.moment(one.at)) if one.at else ''}</small></span>"
        for one in strip.way
    )
    stages, press = st.columns([8, 5], vertical_alignment="center")
    with stages:
        show_markup(f'<div class="way" role="list" aria-label="{escape(words.WAY_LABEL)}">{steps}</div>', key="way")
    with press, st.container(horizontal=True, horizontal_alignment="right"):
        for step in strip.next[:2]:
            _one(shown.code, step)
        last = strip.last
        if last and st.button(words.UNDO_LAST.format(step=words.STEP_DONE[last]), key=f"undo {last}"):
            do(lambda: way.undo_did(last), cannot=words.NOT_DONE)


def _one(code: str, step: str) -> None:
    way = case_source.case(code).way
    label = words.STEP_DONE[step]
    if step not in ("coloured", "sintered"):
        if st.button(label, key=f"did {step}"):
            do(lambda: way.did(step), cannot=words.NOT_DONE)
        return
    with st.popover(label):
        if step == "sintered":
            run = st.text_input(words.RUN, help=words.RUN_HELP, **keeping(f"run {code}", kept("last run", "")))
            if st.button(label, key="did sintered"):
                keep("last run", run)
                do(lambda: way.did("sintered", run=run.strip() or None), cannot=words.NOT_DONE)
            if st.button(disc_words.TO_DISCS):
                go_to("discs_page")
            return
        mix = st.text_input(words.LIQUIDS_LABEL, **keeping(f"liquids {code}"))
        if st.button(label, key="did coloured", disabled=not mix.strip()):
            do(lambda: way.did("coloured", mix=mix), cannot=words.NOT_DONE)
