"""The photo: drop it, see the target found, outline the zones, see their colours with the doubt, and what changed."""

from __future__ import annotations

from typing import Any

import streamlit as st

from stainbook.faces.photo_types import OpenedPhoto, ShownPhoto
from stainbook.faces.reading_types import Dropped
from stainbook.pages.case.page_choices import choices
from stainbook.pages.photo import photo_texts as texts
from stainbook.pages.photo.photo_before import ask_before, before_desk
from stainbook.pages.photo.photo_check import show_check
from stainbook.pages.photo.photo_drawing import (
    AGAIN,
    CORNERS,
    SAID,
    SUGGESTED,
    ZONES,
    corners_of,
    draw_zones,
    put_corners,
)
from stainbook.pages.photo.photo_result import RESULT, STORED, measure_and_show
from stainbook.pages.shell import case_source
from stainbook.pages.shell.page_frame import keep, keeping, kept, show_page
from stainbook.pages.shell.plain import plain
from stainbook.pages.widgets.markup import show_markup
from stainbook.pages.widgets.shot_drawings import drawings_markup

_IMAGE, _CASE = "photo image", "photo case"
_DRAWN: dict[str, Any] = {ZONES: {}, SUGGESTED: {}, SAID: (), CORNERS: None, AGAIN: False, RESULT: None, STORED: None}


def _draw() -> None:
    settings, picture = st.columns([1, 3], gap="medium")
    with settings:
        case = _case()
        ask_before(case)
        files = _files()
        given = _settings()
        _setting_up()
    with picture:
        if files is None:
            st.info(texts.BRING)
            return
        _work(*files, given, case)


def _files() -> tuple[Dropped, Dropped, Dropped | None] | None:
    """The picture, the target's table and maybe a grey frame, kept over page switches; None while one is missing."""
    image = _dropped(_IMAGE, texts.PICTURE, texts.PICTURE_HELP)
    table = _dropped("photo table", texts.TABLE, texts.TABLE_HELP)
    flat = _dropped("photo flat", texts.FLAT, texts.FLAT_HELP)
    return (image, table, flat) if image and table else None


def _dropped(key: str, label: str, words: str) -> Dropped | None:
    file = st.file_uploader(label, help=words, key=f"{key} file")
    if file is not None:
        fresh = Dropped(file.name, file.getvalue())
        if key == _IMAGE and fresh != kept(key, None):
            _begin_anew()
        keep(key, fresh)
    found: Dropped | None = kept(key, None)
    if file is None and found is not None:
        st.caption(plain(found.name))
    return found


def _begin_anew() -> None:
    """What was drawn on the picture before means nothing on another."""
    for key, nothing in _DRAWN.items():
        keep(key, nothing)


def _settings() -> dict[str, Any]:
    rows, columns = st.columns(2)
    given: dict[str, Any] = {
        "rows": rows.number_input(texts.ROWS, 1, 40, **keeping("photo rows", 4)),
        "columns": columns.number_input(texts.COLUMNS, 1, 40, **keeping("photo columns", 6)),
        "patch_fill": st.slider(texts.FILL, 0.2, 1.0, **keeping("photo fill", 0.8)),
    }
    given["subject"] = st.radio(
        texts.SUBJECT, list(texts.SUBJECTS), format_func=texts.SUBJECTS.__getitem__, **keeping("photo subject", "piece")
    )
    given["encoding"] = st.selectbox(
        texts.ENCODING,
        list(texts.ENCODINGS),
        format_func=texts.ENCODINGS.__getitem__,
        **keeping("photo encoding", "auto"),
    )
    return given


def _case() -> str | None:
    """The case whose targets count and which the zones are readings of; None for a photo on its own."""
    files = case_source.lab().cases.listed().offered(choices().case)
    if not files:
        return None
    known = ["", *files]
    if kept(_CASE, choices().case or "") not in known:
        keep(_CASE, "")
    found: str = st.selectbox(
        texts.CASE,
        known,
        format_func=lambda path: path if path else texts.NO_CASE,
        **keeping(_CASE, choices().case or ""),
    )
    return found or None


def _setting_up() -> None:
    with st.expander(texts.SHOT):
        show_markup(drawings_markup(texts.DRAWINGS), key="photo drawings")
        st.markdown("\n".join(f"{number}. {step}" for number, step in enumerate(texts.SHOT_STEPS, 1)))


def _work(image: Dropped, table: Dropped, flat: Dropped | None, given: dict[str, Any], case: str | None) -> None:
    before = before_desk(image, table)
    zones = kept(ZONES, {})
    photo = case_source.lab().photo
    desk = photo.drafted((image, table, flat), given, kept(CORNERS, None), zones)
    with st.spinner(texts.LOOKING, show_time=True):
        shown = _looked(desk, (image, table, flat, str(kept(CORNERS, None)), tuple(sorted(given.items()))))
    show_check(shown.check)
    corners = corners_of(shown)
    if corners is None:
        put_corners(shown)
        return
    draw_zones(shown, desk, corners, case)
    if zones:
        drawn_on = given | {"picture": (shown.width, shown.height)}
        measure_and_show(photo.drafted((image, table, flat), drawn_on, corners, zones), case, before)
    elif before is not None:
        st.caption(texts.SAME_ZONES.format(names=", ".join(f"{z.tooth} {z.zone}" for z in before.scene.zones)))


@st.cache_data(show_spinner=False, max_entries=4)
def _looked(_desk: OpenedPhoto, mark: object) -> ShownPhoto:
    return case_source.lab().photo.look(_desk)


show_page(texts.TITLE, _draw, cannot=texts.CANNOT)
