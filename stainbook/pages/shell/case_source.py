"""The lab that the app was started with, and how long its pages wait for work."""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import streamlit as st
from streamlit.runtime.scriptrunner import get_script_run_ctx

from stainbook.errors import NotAllowedError
from stainbook.faces.server_types import READER, Signed
from stainbook.lab import Lab, LabCase
from stainbook.pages.shell import texts
from stainbook.permit import Permit

KEPT = "kept"  # as `page_frame` keeps what outlives a switch of pages
SESSION_HEADER = "x-stainbook-session"  # in which the door names the session of who asks
AUTHOR = "author"  # under which a session keeps who sits here
PATIENCE = 0.6  # seconds that a page waits before it shows how far the work is
PRACTICE = "practice"  # under which a session keeps the demonstration book that it works on


@dataclass(frozen=True)
class Practice:
    """A demonstration book of this session alone: where it is, and what was half typed outside of it."""

    url: str
    folder: Path
    place: Path
    outside: dict[str, Any]


def practice() -> Practice | None:
    """The practice of this browser session; None outside of one."""
    if get_script_run_ctx(suppress_warning=True) is None:  # no session asks, such as where the server warms up
        return None
    found: Practice | None = st.session_state.get(PRACTICE)
    return found


def folder() -> Path:
    """The folder whose case files may be brought in."""
    if (own := practice()) is not None:
        return own.folder
    return Path(os.environ.get("STAINBOOK_FOLDER") or Path.cwd())


def lab() -> Lab:
    """The lab of the app, or that of the session's practice: all views of one place share one open book.

    Raises NotAllowedError on a lab's server for a session that has ended.
    """
    own, gate = practice(), Lab().app.gate()
    if gate is None:
        return _lab_of(own.url if own is not None else os.environ.get("STAINBOOK_BOOK"), who_sits_here())
    if get_script_run_ctx(suppress_warning=True) is None:  # nobody: the server warms up
        return _lab_of(os.environ.get("STAINBOOK_BOOK"), None, READER)
    signed = signed_in()
    if signed is None:
        raise NotAllowedError(texts.SIGNED_OUT)
    if own is not None:  # a book of this session alone
        return _lab_of(own.url, signed.account.name)
    return _guarded_lab(os.environ.get("STAINBOOK_BOOK"), signed.account.name, signed.account.role, signed.address)


@cache
def _lab_of(url: str | None, author: str | None, role: str | None = None) -> Lab:
    return Lab(url, author=author, role=role)


@cache
def _guarded_lab(url: str | None, author: str, role: str, address: str) -> Lab:
    """The lab as somebody sees it who signed in; what they hand out and erase is noted."""

    def told(deed: str, about: str) -> None:
        gate = Lab().app.gate()
        if gate is not None:
            gate.accounts.note(deed, author, about, address)

    return Lab(url, author=author, role=role, told=told)


def signed_in() -> Signed | None:
    """Who signed in at a lab's server in this session of the browser; None where that ended, or nobody need."""
    gate = Lab().app.gate()
    if gate is None or get_script_run_ctx(suppress_warning=True) is None:
        return None
    return gate.of_id(st.context.headers.get(SESSION_HEADER, ""))


def permit() -> Permit | None:
    """What may be done in this session of the browser; None: all."""
    signed = signed_in()
    return None if signed is None or practice() is not None else Permit(signed.account.role)


def who_sits_here() -> str | None:
    """The name that was chosen in Settings in this session of the browser; None: as the app was started.

    On a lab's server it is who signed in.
    """
    if get_script_run_ctx(suppress_warning=True) is None:  # no session: the server warms up
        return None
    if Lab().app.gate() is not None:
        signed = signed_in()
        return signed.account.name if signed else None
    found: str | None = st.session_state.get(KEPT, {}).get(AUTHOR) or None
    return found


def case(code: str) -> LabCase:
    """A case of the lab."""
    return lab().case(code)
