"""A shade tab of known colour beside the piece: what it is known to be, and its outline among those of the zones."""

from __future__ import annotations

from typing import Any

import streamlit as st

from stainbook.faces.photo_types import TAB
from stainbook.pages.photo import photo_texts as texts
from stainbook.pages.shell.light_choice import LIGHTS
from stainbook.pages.shell.number_field import number_field
from stainbook.pages.shell.page_frame import keeping, kept
from stainbook.pages.shell.plain import bare
from stainbook.words import light_names

_AXES = (("L*", 0.0, 100.0), ("a*", -60.0, 60.0), ("b*", -60.0, 60.0))
_KEY = "photo-tab"


def ask_tab() -> dict[str, Any]:
    """What is typed of the tab, as the desk takes it: nothing until all three numbers stand.

    Raises InputError for what is no such number.
    """
    with st.expander(texts.TAB, expanded=tab_typed()):
        st.markdown(texts.TAB_WHY)
        columns = st.columns(len(_AXES))
        typed = [
            number_field(column, name, None, key=f"{_KEY}-{name}", least=least, most=most)
            for column, (name, least, most) in zip(columns, _AXES, strict=True)
        ]
        named = {light_names.viewing(light, observer): (light, observer) for light, observer in LIGHTS}
        light = st.selectbox(
            texts.TAB_LIGHT, list(named), format_func=bare, **keeping(f"{_KEY}-light", next(iter(named)))
        )
    return {} if None in typed else {TAB: (tuple(typed), *named[light])}


def tab_typed() -> bool:
    """Whether the tab's colour is known, so that it may be outlined."""
    return all(str(kept(f"{_KEY}-{name}", "")).strip() for name, _, _ in _AXES)
