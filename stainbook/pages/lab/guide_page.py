"""The guide: how to work with all of this, page by page."""

from __future__ import annotations

import re

import streamlit as st

from stainbook.guide import PAGES, page
from stainbook.pages.shell import texts
from stainbook.pages.shell.page_frame import keeping, show_page
from stainbook.pages.shell.plain import Ours

_LINK = re.compile(r"\[([^\]]+)\]\([\w.]+\.md\)")  # between pages: here they are chosen above


def _draw() -> None:
    name = st.selectbox(
        texts.GUIDE_PAGE, list(PAGES), format_func=PAGES.__getitem__, **keeping("guide page", next(iter(PAGES)))
    )
    st.markdown(Ours(_LINK.sub(r"\1", page(name))))


show_page(texts.PAGES["guide"], _draw, cannot=texts.CANNOT)
