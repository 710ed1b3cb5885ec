"""The files of the photo page, kept over page switches: pictures by camera or file, one of them through a filter."""

from __future__ import annotations

from typing import Any

import streamlit as st

from stainbook.faces.reading_types import Dropped
from stainbook.pages.photo import photo_texts as texts
from stainbook.pages.photo.photo_drawing import AGAIN, CORNERS, SAID, SECOND_CORNERS, SUGGESTED, ZONES
from stainbook.pages.photo.photo_result import STORED, WORK
from stainbook.pages.shell.long_work import drop
from stainbook.pages.shell.page_frame import keep, keeping, kept
from stainbook.pages.shell.plain import plain
from stainbook.pages.widgets.camera_field import file_field, picture_field
from stainbook.pages.widgets.markup import show_markup
from stainbook.pages.widgets.shot_drawings import drawings_markup

_DRAWN: dict[str, Any] = {ZONES: {}, SUGGESTED: {}, SAID: (), CORNERS: None, AGAIN: False, STORED: None}
_SECOND = "photo second"


def dropped_file(key: str, label: str, words: str, *, picture: bool = False) -> Dropped | None:
    """What was put in, now or on an earlier visit; another picture begins its drawing anew."""
    fresh = (picture_field if picture else file_field)(label, key=f"{key} file", help=words)
    if fresh is not None:
        if key == "photo image" and fresh != kept(key, None):
            _begin_anew()
        if key == _SECOND and fresh != kept(key, None):
            keep(SECOND_CORNERS, None)
        keep(key, fresh)
    found: Dropped | None = kept(key, None)
    if fresh is None and found is not None:
        st.caption(plain(found.name))
    return found


def _begin_anew() -> None:
    """What was drawn on the picture before means nothing on another, and a second shot shows another scene."""
    for key, nothing in _DRAWN.items():
        keep(key, nothing)
    drop(WORK)
    keep(_SECOND, None)
    keep(SECOND_CORNERS, None)


def ask_second(*, asked: bool) -> tuple[Dropped | None, str]:
    """The second shot and what its filter is called; unfolded where gum is in the picture."""
    with st.expander(texts.SECOND, expanded=asked and kept(_SECOND, None) is not None):
        st.markdown(texts.SECOND_WHY)
        show_markup(drawings_markup(texts.SECOND_DRAWINGS), key="photo second drawings")
        found = dropped_file(_SECOND, texts.SECOND_PICTURE, texts.PICTURE_HELP, picture=True)
        sheet = st.text_input(texts.FILTER, max_chars=40, **keeping("photo filter", texts.FILTER_USUAL))
    return found, sheet.strip() or texts.FILTER_USUAL
