"""Help in place: at the foot of each page, drawn when it is unfolded."""

from __future__ import annotations

import streamlit as st

from stainbook.pages.shell import help_texts as words
from stainbook.pages.widgets.help_drawings import help_markup
from stainbook.pages.widgets.markup import show_markup


def show_help(page: str) -> None:
    """The topics of a page, folded away; nothing for a page without any."""
    topics = words.PAGES.get(page, ())
    if not topics:
        return
    with st.expander(words.HOW, on_change="rerun", key=f"help {page}") as shown:
        if shown.open:
            show_markup(help_markup({topic: words.TOPICS[topic] for topic in topics}), key=f"help_{page}")
