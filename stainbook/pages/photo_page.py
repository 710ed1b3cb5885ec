"""The photo: drop it, see the target found, draw the zones, see their colours with the doubt."""

from __future__ import annotations

from typing import Any

import streamlit as st

from stainbook.pages import case_source
from stainbook.pages import photo_texts as texts
from stainbook.pages.frame import keep, keeping, kept, show_page
from stainbook.pages.widgets.outlines import Points, draw_outlines
from stainbook.records import GUM_ZONES, TOOTH_ZONES
from stainbook.work.photo import PhotoAsked
from stainbook.work.photo_desk import Desk, Dropped, Shown, drafted, look, measured, scene_text
from stainbook.work.photo_schemas import PhotoResult

LEAST_USED = 0.5  # of the range by the brightest half per cent
MOST_CLIPPED = 0.002
_IMAGE = "photo image"
_DRAWN: dict[str, Any] = {"photo zones": {}, "photo corners": None, "photo corners again": False, "photo result": None}


def _draw() -> None:
    settings, picture = st.columns([1, 3], gap="medium")
    with settings:
        files = _files()
        given = _settings()
        _setting_up()
    with picture:
        if files is None:
            st.info(texts.BRING)
            return
        _work(*files, given)


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


def _setting_up() -> None:
    with st.expander(texts.SHOT):
        st.markdown("\n".join(f"{number}. {step}" for number, step in enumerate(texts.SHOT_STEPS, 1)))


def _work(image: Dropped, table: Dropped, flat: Dropped | None, given: dict[str, Any]) -> None:
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
    _zones(shown, zones, corners)
    if zones:
        _measure(drafted(image, table, flat, given, corners, zones))


@st.cache_data(show_spinner=False, max_entries=4)
def _looked(_desk: Desk, mark: object) -> Shown:
    return look(_desk)


def _exposure(shown: Shown) -> None:
    if shown.clipped > MOST_CLIPPED:
        st.caption(texts.CLIPPED.format(share=shown.clipped))
    if shown.brightest < LEAST_USED:
        st.caption(texts.DARK.format(share=shown.brightest))


def _zones(shown: Shown, zones: dict[str, Points], corners: Any) -> None:
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


def _measure(desk: Desk) -> None:
    do, scene = st.columns([3, 1])
    scene.download_button(texts.KEEP_SCENE, scene_text(desk), "scene.yaml", "application/yaml")
    if do.button(texts.MEASURE, type="primary", width="stretch"):
        with st.spinner(texts.MEASURING, show_time=True):
            keep("photo result", measured(desk, PhotoAsked(book=case_source.book_url())))
    result: PhotoResult | None = kept("photo result", None)
    if result is not None:
        _show(result)


def _show(result: PhotoResult) -> None:
    for warning in result.warnings:
        st.info(warning)
    rows = [
        {
            "tooth": zone.tooth,
            "zone": zone.zone,
            **{name: round(getattr(zone, key), 1) for name, key in (("L*", "L"), ("a*", "a"), ("b*", "b"))},
            "± ΔE00": round(zone.u, 1),
            "masked": f"{zone.masked:.0%}",
            "use": "no: glare" if zone.flagged else "yes",
        }
        for zone in result.zones
    ]
    st.dataframe(rows, hide_index=True)
    st.caption(texts.DOUBT)
    with st.expander(texts.HOW):
        st.write(result.method)


show_page(texts.TITLE, _draw, cannot=texts.CANNOT)
