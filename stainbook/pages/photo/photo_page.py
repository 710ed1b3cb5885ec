"""The photo: drop it, see the target found, outline the zones, see their colours with the doubt, and what changed."""

from __future__ import annotations

from typing import Any

import streamlit as st

from stainbook.faces.photo_types import TAB, ShownPhoto
from stainbook.faces.reading_types import Dropped
from stainbook.language import joined
from stainbook.pages.case.case_head import case_head
from stainbook.pages.case.page_choices import choices
from stainbook.pages.photo import photo_texts as texts
from stainbook.pages.photo.photo_before import ask_before, before_desk
from stainbook.pages.photo.photo_check import show_check
from stainbook.pages.photo.photo_drawing import (
    CORNERS,
    SECOND_CORNERS,
    ZONES,
    corners_of,
    draw_zones,
    put_corners,
    put_second_corners,
)  # fmt: skip
from stainbook.pages.photo.photo_files import ask_second, dropped_file
from stainbook.pages.photo.photo_result import WORK, measure_and_show
from stainbook.pages.photo.photo_tab import ask_tab
from stainbook.pages.shell import case_source
from stainbook.pages.shell.long_work import needed
from stainbook.pages.shell.page_frame import do, keep, keeping, kept, show_page
from stainbook.pages.shell.plain import counted
from stainbook.pages.shell.pressing import pressed
from stainbook.pages.widgets.markup import show_markup
from stainbook.pages.widgets.shot_drawings import drawings_markup
from stainbook.words.places import place as place_name

_IMAGE, _ALONE, _OWN = "photo image", "photo alone", "photo own chart"
Files = tuple[Dropped, Dropped, Dropped | None, Dropped | None]


def _draw() -> None:
    case, press = _case()
    settings, picture = st.container(key="photo_screen").columns([1, 3], gap="medium")
    with settings:
        fired = bool(case and case_source.lab().photo.fired_at(case))
        image = dropped_file(_IMAGE, texts.PICTURE, texts.PICTURE_HELP, picture=True)
        if fired:
            ask_before(case)
        files, given = _brought(image)
        if not fired:
            ask_before(case)
        with st.expander(texts.MORE):
            given |= _settings()
        _setting_up()
    with picture:
        if files is None:
            st.info(texts.BRING)
            return
        _work(files, given, case, press)


def _brought(image: Dropped | None) -> tuple[Files | None, dict[str, Any]]:
    """Picture, the target's table, maybe a grey frame and a second shot; None while picture or table is missing."""
    table = _table()
    subject = st.radio(
        texts.SUBJECT, list(texts.SUBJECTS), format_func=texts.SUBJECTS.__getitem__, **keeping("photo subject", "piece")
    )
    second, sheet = ask_second(asked=subject == "patient")
    with st.expander(texts.FLAT):
        flat = dropped_file("photo flat", texts.FLAT, texts.FLAT_HELP, picture=True)
    given = {"subject": subject, "filter": sheet} | ask_tab()
    return ((image, table, flat, second) if image and table else None), given


def _table() -> Dropped | None:
    """The target's table: what was brought, else the lab's own chart."""
    own = case_source.lab().photo.chart()
    if own is None:
        brought = dropped_file("photo table", texts.TABLE, texts.TABLE_HELP)
    else:
        with st.expander(counted(texts.OWN_CHART, own.rows * own.columns)):
            brought = dropped_file("photo table", texts.TABLE, texts.TABLE_HELP)
    if brought is None and own is not None and not kept(_OWN, False):
        keep(_OWN, True)
        keep("photo rows", own.rows)
        keep("photo columns", own.columns)
    if brought is not None and own is None:
        _offer_chart(brought)
    return brought or (own.table if own else None)


def _offer_chart(table: Dropped) -> None:
    """Let the readings of a chart be the lab's, so that the next picture needs no table."""
    if pressed(texts.KEEP_CHART, help=texts.KEEP_CHART_HELP):
        do(lambda: case_source.lab().photo.keep_chart(table), cannot=texts.CANNOT)


def _settings() -> dict[str, Any]:
    rows, columns = st.columns(2)
    return {
        "rows": rows.number_input(texts.ROWS, 1, 40, **keeping("photo rows", 4)),
        "columns": columns.number_input(texts.COLUMNS, 1, 40, **keeping("photo columns", 6)),
        "patch_fill": st.slider(texts.FILL, 0.2, 1.0, **keeping("photo fill", 0.8)),
        "encoding": st.selectbox(
            texts.ENCODING,
            list(texts.ENCODINGS),
            format_func=texts.ENCODINGS.__getitem__,
            **keeping("photo encoding", "auto"),
        ),
    }


def _case() -> tuple[str | None, Any]:
    """The case whose targets count and which the zones are readings of, None for a photo on its own; and its button.

    It is the case of all pages, chosen in the head as there.
    """
    if not case_source.lab().cases.listed().offered(choices().case):
        st.title(texts.TITLE, anchor=False)
        return None, None
    head = case_head(texts.TITLE)
    alone = st.checkbox(texts.NO_CASE, **keeping(_ALONE, False))
    return (None if alone or head is None else head.code), head.press if head else None


def _setting_up() -> None:
    with st.expander(texts.SHOT):
        show_markup(drawings_markup(texts.DRAWINGS), key="photo drawings")
        st.markdown("\n".join(f"{number}. {step}" for number, step in enumerate(texts.SHOT_STEPS, 1)))


def _work(files: Files, given: dict[str, Any], case: str | None, press: Any) -> None:
    image, table, flat, second = files
    given = given | {"second_corners": kept(SECOND_CORNERS, None)}
    before = before_desk(image, table)
    zones = kept(ZONES, {})
    photo = case_source.lab().photo
    desk = photo.drafted(files, given, kept(CORNERS, None), zones)
    settled = tuple(sorted(given.items()))
    about = (image, table, flat, str(kept(CORNERS, None)), settled)
    shown: ShownPhoto | None = needed(f"{WORK}looked", about, lambda: photo.begin(photo.look, desk))
    if shown is None:
        return
    corners = corners_of(shown)
    if corners is None:
        show_check(shown.check)
        put_corners(shown)
        return
    if second is not None and not given["second_corners"]:
        there = photo.drafted((second, table, None, None), given, None, {})
        seen: ShownPhoto | None = needed(
            f"{WORK}second", (second, table, settled), lambda: photo.begin(photo.look, there)
        )
        if seen is None or seen.corners is None:
            if seen is not None:
                put_second_corners(seen)
            return
    draw_zones(shown, desk, corners, case)
    if any(name != TAB for name in zones):
        drawn_on = given | {"picture": (shown.width, shown.height)}
        measure_and_show(photo.drafted(files, drawn_on, corners, zones), shown, case, before, press=press)
    elif before is not None:
        st.caption(texts.SAME_ZONES.format(names=joined(place_name(z.tooth, z.zone) for z in before.scene.zones)))
    show_check(shown.check)


show_page(texts.TITLE, _draw, cannot=texts.CANNOT, headed=True)
