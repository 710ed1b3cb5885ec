"""One visible undo that names what it undoes."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from stainbook.faces.desk_types import Undo
from stainbook.pages.shell import way_texts as words
from stainbook.pages.shell.page_frame import forget, kept_keys
from stainbook.pages.shell.pressing import pressed


def undo_change(found: Undo | None, act: Callable[[], object], *, key: str, fields: str = "") -> None:
    """A button for the newest change, nothing where there is none; ``fields`` are emptied, by how their keys begin."""
    if found is None or not pressed(words.UNDO.format(what=found.what), key=key):
        return
    act()
    if fields:
        for name in kept_keys(fields):
            forget(name)
    st.rerun()
