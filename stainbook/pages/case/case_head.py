"""The head of each page that shows a case, one line: title, case, the way of its piece, the one main thing to press."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import streamlit as st

from stainbook.errors import StainbookError
from stainbook.faces.case_types import WayShown
from stainbook.language import joined
from stainbook.pages.case.case_choice import some_case
from stainbook.pages.case.page_choices import choices
from stainbook.pages.shell import case_source, wording
from stainbook.pages.shell import way_texts as words
from stainbook.pages.widgets.markup import show_markup
from stainbook.words.escaping import escape


@dataclass(frozen=True, slots=True)
class HeadStrip:
    """The case that the page shows, and where its main button stands: ``with head.press: …``."""

    code: str
    press: Any


def case_head(title: str) -> HeadStrip | None:
    """Draw the head and give the case; None, with what to do, where there is none.

    It asks for no advice, so it is there at once. A page that draws it says so: ``show_page(…, headed=True)``.
    """
    with st.container(horizontal=True, vertical_alignment="center", key="case_head", gap="small"):
        name, choice = st.container(width="content"), st.container(width=190)
        way, press = st.container(), st.container(width="content")
    name.title(title, anchor=False)
    code = some_case(choices(), place=choice)
    if code is None:
        return None
    with way:
        _show_way(code)
    return HeadStrip(code, press)


def _show_way(code: str) -> None:
    try:
        steps = case_source.case(code).way.strip().way
    except StainbookError:  # the page itself says what is wrong with the case
        return
    said = "".join(map(_step, steps))
    show_markup(f'<ol class="way" aria-label="{escape(words.WAY_LABEL)}">{said}</ol>', key="way")


def _step(one: WayShown) -> str:
    """A disc for a step that is behind, a ring around it where the piece stands, a hollow one for what is ahead."""
    at = escape(wording.day(one.at)) if one.at else ""
    moment = [wording.moment(one.at)] if one.at else []
    kind, now = ("here", ' aria-current="step"') if one.now else ("ahead" if one.ahead else "", "")
    title = escape(words.AHEAD.format(step=one.word)) if one.ahead else escape(joined([one.word, *moment], " "))
    said = f"<b>{escape(one.word)}</b>" + ("" if one.ahead else f"<small>{at}</small>")
    return f'<li class="{kind}"{now} title="{title}"><i></i><span>{said}</span></li>'
