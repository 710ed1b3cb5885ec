"""What may be noted next of the way of a piece, each step one press, and the last one undone."""

from __future__ import annotations

import streamlit as st

from stainbook.pages.case.case_shown import ShownCase
from stainbook.pages.lab import discs_texts as disc_words
from stainbook.pages.shell import case_source
from stainbook.pages.shell import way_texts as words
from stainbook.pages.shell.page_frame import do, go_to, keep, keeping, kept
from stainbook.pages.shell.pressing import pressed


def show_noting(shown: ShownCase) -> None:
    """The likeliest next step of the piece, the others folded away, and the undo of the last one."""
    way = case_source.case(shown.code).way
    strip = way.strip()
    with st.container(horizontal=True):
        for step in strip.next[:1]:
            _one(shown.code, step)
        if strip.next[1:]:
            with st.popover(words.OTHER_STEP):
                for step in strip.next[1:]:
                    _one(shown.code, step, folded=True)
        last = strip.last
        if last and pressed(words.UNDO_LAST.format(step=words.STEP_DONE[last]), key=f"undo {last}"):
            do(lambda: way.undo_did(last), cannot=words.NOT_DONE)


def _one(code: str, step: str, *, folded: bool = False) -> None:
    """The press of a step, with what it asks; ``folded`` where it stands in something folded already."""
    way = case_source.case(code).way
    label = words.STEP_DONE[step]
    if step not in ("coloured", "sintered"):
        if pressed(label, key=f"did {step}"):
            do(lambda: way.did(step), cannot=words.NOT_DONE)
        return
    with st.container() if folded else st.popover(label):
        if step == "sintered":
            run = st.text_input(words.RUN, help=words.RUN_HELP, **keeping(f"run {code}", kept("last run", "")))
            if pressed(label, key="did sintered"):
                keep("last run", run)
                do(lambda: way.did("sintered", run=run.strip() or None), cannot=words.NOT_DONE)
            if st.button(disc_words.TO_DISCS):
                go_to("discs_page")
            return
        mix = st.text_input(words.LIQUIDS_LABEL, **keeping(f"liquids {code}"))
        if pressed(label, key="did coloured", disabled=not mix.strip()):
            do(lambda: way.did("coloured", mix=mix), cannot=words.NOT_DONE)
