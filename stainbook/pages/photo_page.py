"""The photo: drop it, see the target found, draw the zones, see their colours with the doubt."""

from __future__ import annotations

from typing import Any

import streamlit as st

from stainbook.pages import case_source
from stainbook.pages import photo_texts as texts
from stainbook.pages.case_state import choices
from stainbook.pages.frame import keep, keeping, kept, show_page
from stainbook.pages.photo_result import RESULT, STORED, measure_and_show, target_line
from stainbook.pages.widgets.markup import show_markup
from stainbook.pages.widgets.outlines import Points, draw_outlines
from stainbook.pages.widgets.shot_drawings import drawings_markup
from stainbook.records import GUM_ZONES, TOOTH_ZONES
from stainbook.work.photo_desk import Desk, Dropped, Shown, drafted, look

LEAST_USED = 0.5  # of the range by the brightest half per cent
MOST_CLIPPED = 0.002
_IMAGE, _CASE = "photo image", "photo case"
_DRAWN: dict[str, Any] = {
    "photo zones": {},
    "photo corners": None,
    "photo corners again": False,
    RESULT: None,
    STORED: None,
}


def _draw() -> None:
    settings, picture = st.columns([1, 3], gap="medium")
    with settings:
        files = _files()
        given = _settings()
        case = _case()
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
        st.caption(found.name)
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
    files = case_source.case_files()
    if not files:
        return None
    known = ["", *files]
    if kept(_CASE, choices().case or "") not in known:
        keep(_CASE, "")
    found: str = st.selectbox(
        texts.CASE,
        known,
        format_func=lambda path: case_source.case_name(path) if path else texts.NO_CASE,
        **keeping(_CASE, choices().case or ""),
    )
    return found or None


def _setting_up() -> None:
    with st.expander(texts.SHOT):
        show_markup(drawings_markup(texts.DRAWINGS), key="photo drawings")
        st.markdown("\n".join(f"{number}. {step}" for number, step in enumerate(texts.SHOT_STEPS, 1)))


def _work(image: Dropped, table: Dropped, flat: Dropped | None, given: dict[str, Any], case: str | None) -> None:
    zones: dict[str, Points] = kept("photo zones", {})
    desk = drafted(image, table, flat, given, kept("photo corners", None), zones)
    with st.spinner(texts.LOOKING, show_time=True):
        shown = _looked(desk, (image, table, tuple(sorted(given.items()))))
    corners = kept("photo corners", None) or shown.corners
    _exposure(shown)
    if corners is None or kept("photo corners again", False):
        st.info(texts.NOT_FOUND)
        _canvas(shown, zones, None, "photo corners", most=4)
        return
    _zones(shown, zones, corners, case)
    if zones:
        measure_and_show(drafted(image, table, flat, given, corners, zones), case)


@st.cache_data(show_spinner=False, max_entries=4)
def _looked(_desk: Desk, mark: object) -> Shown:
    return look(_desk)


def _exposure(shown: Shown) -> None:
    if shown.clipped > MOST_CLIPPED:
        st.caption(texts.CLIPPED.format(share=shown.clipped))
    if shown.brightest < LEAST_USED:
        st.caption(texts.DARK.format(share=shown.brightest))


def _zones(shown: Shown, zones: dict[str, Points], corners: Any, case: str | None) -> None:
    tooth, zone, back, again = st.columns([1, 2, 2, 2], vertical_alignment="bottom")
    number = tooth.number_input(texts.TOOTH, 11, 85, **keeping("photo tooth", 11))
    name = zone.selectbox(texts.ZONE, [*TOOTH_ZONES, *GUM_ZONES], **keeping("photo zone", TOOTH_ZONES[0]))
    if back.button(texts.TAKE_BACK, disabled=not zones):
        keep("photo zones", dict(list(zones.items())[:-1]))
        st.rerun()
    if again.button(texts.CORNERS_AGAIN):
        keep("photo corners again", True)
        st.rerun()
    st.caption(texts.NEXT)
    target_line(case, f"{number} {name}")
    _canvas(shown, zones, corners, f"{number} {name}", most=None)


def _canvas(shown: Shown, zones: dict[str, Points], corners: Any, drawing: str, *, most: int | None) -> None:
    def take(points: Points) -> None:
        if most:
            keep("photo corners", points)
            keep("photo corners again", False)
        else:
            keep("photo zones", {**zones, drawing: points})

    shapes = dict(zones) if corners is None else {texts.TARGET: corners, **zones}
    draw_outlines(
        shown.source,
        (shown.width, shown.height),
        shapes,
        label=texts.DRAW_LABEL,
        most=most,
        key="photo canvas",
        on_outline=take,
    )


show_page(texts.TITLE, _draw, cannot=texts.CANNOT)
