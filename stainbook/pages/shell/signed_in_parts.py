"""Who is signed in at a lab's server: let in, named on each page, and signed out."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import streamlit as st

from stainbook.faces.server_types import READER
from stainbook.lab import Lab
from stainbook.pages.shell import case_source, texts
from stainbook.pages.shell.plain import bare
from stainbook.permit import ROLE_WORDS

_HERE = Path(__file__).parent
_BELONGS = "signed"  # in the session: to whose sign-in what is half typed belongs


@cache
def _component() -> Callable[..., Any]:
    return st.components.v2.component(
        "stainbook_signed_in",
        html='<div><span></span> <button type="button"></button></div>',
        css="""div { display: flex; gap: 0.6rem; align-items: center; justify-content: flex-end; font-size: 14px; }
button { min-height: 36px; font: inherit; color: inherit; background: transparent; border: 1px solid currentColor;
  border-radius: 4px; padding: 0 0.6rem; }""",
        js=(_HERE / "signed_in.js").read_text(encoding="utf-8"),
    )


def enter() -> None:
    """Draw nothing of the lab for a session that has ended, and give nobody what another one left half typed."""
    if Lab().app.gate() is None:
        return
    signed = case_source.signed_in()
    if signed is None:
        st.warning(texts.SIGNED_OUT)
        _watch("", "")
        st.stop()
    if st.session_state.setdefault(_BELONGS, signed.id) != signed.id:
        st.session_state.clear()
        st.session_state[_BELONGS] = signed.id


def show_signed_in() -> None:
    """Who is signed in, and the way out; a reader is told what that means."""
    signed = case_source.signed_in()
    if signed is None:
        return
    account = signed.account
    said = texts.SIGNED_IN_AS.format(name=account.name, role=bare(ROLE_WORDS[account.role]))
    _watch(bare(said), bare(texts.SIGN_OUT))
    if account.role == READER and case_source.practice() is None:
        st.info(texts.READER_LOOKS)


def _watch(said: str, out: str) -> None:
    """The line itself, which leaves for the sign-in page once the session has ended."""
    _component()(data={"said": said, "out": out}, key="signed in")
