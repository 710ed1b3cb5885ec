"""The menu: the name of every page in sight, whatever the width; on a phone behind one button that names the page."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import streamlit as st

from stainbook.pages.shell import texts

_STYLE = Path(__file__).with_name("frame.css")


def show_menu(pages: Mapping[str, Any], here: Any) -> None:
    """Links to all pages by their names, and the style of what frames a page.

    Streamlit's own menu hides what does not fit on its line: a tablet showed three of eleven.
    """
    st.html(_STYLE)
    with st.container(gap=None):
        with st.container(horizontal=True, gap=None, key="menu"):
            _links(pages)
        phone = st.container(key="menu_phone")
    with phone, st.popover(texts.MENU.format(page=here.title), key=f"pages {here.title}"):
        _links(pages)


def _links(pages: Mapping[str, Any]) -> None:
    for name, page in pages.items():
        if name not in texts.HIDDEN_PAGES:
            st.page_link(page, label=page.title)
