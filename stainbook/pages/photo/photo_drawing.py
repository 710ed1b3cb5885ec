"""The picture with its outlines: suggested, grown from a tap, drawn, moved, removed."""

from __future__ import annotations

from typing import Any

import streamlit as st

from stainbook.errors import InputError
from stainbook.faces.photo_types import TAB, OpenedPhoto, Outlines, ShownPhoto, teeth_shown, wanted_of
from stainbook.pages.photo import photo_texts as texts
from stainbook.pages.photo.photo_result import WORK, target_line
from stainbook.pages.photo.photo_tab import tab_typed
from stainbook.pages.shell import case_source
from stainbook.pages.shell.long_work import begin, drop, going_on, is_done
from stainbook.pages.shell.page_frame import forget, keep, keeping, kept
from stainbook.pages.shell.plain import counted, named_zone, plain
from stainbook.pages.shell.pressing import tell
from stainbook.pages.widgets.outlines import Handlers, Points, draw_outlines
from stainbook.records import GUM_ZONES, TOOTH_ZONES

ZONES, CORNERS, AGAIN, SECOND_CORNERS = "photo zones", "photo corners", "photo corners again", "photo second corners"
SUGGESTED, SAID = "photo suggested", "photo said"
_TAP, _SUGGEST = f"{WORK}tapped", f"{WORK}suggested"
Shapes = dict[str, Points]


def corners_of(shown: ShownPhoto) -> Any:
    """The target's corners as put by hand, else as found; None while they are to be put."""
    return None if kept(AGAIN, False) else kept(CORNERS, None) or shown.corners


def put_corners(shown: ShownPhoto) -> None:
    """Let the target's corners be tapped."""
    st.info(texts.NOT_FOUND)

    def take(points: Points) -> None:
        keep(CORNERS, points)
        keep(AGAIN, False)

    _canvas(shown, kept(ZONES, {}), Handlers(take), most=4)


def put_second_corners(shown: ShownPhoto) -> None:
    """Let them be tapped in the second shot, as in the first."""
    st.info(texts.NOT_FOUND_TWICE)
    _canvas(shown, {}, Handlers(lambda points: keep(SECOND_CORNERS, points)), most=4, key="photo second canvas")


def draw_zones(shown: ShownPhoto, desk: OpenedPhoto, corners: Any, case: str | None) -> None:
    """Let zones be outlined on a picture whose target is known."""
    _take_up()
    _suggesting(desk, corners, case)
    with st.container(horizontal=True, vertical_alignment="bottom"):
        number = st.number_input(texts.TOOTH, 11, 85, width=130, **keeping("photo tooth", 11))
        options = [*TOOTH_ZONES, *GUM_ZONES, *([TAB] if tab_typed() else [])]
        if kept("photo zone", options[0]) not in options:
            forget("photo zone")
        name = st.selectbox(
            texts.ZONE, options, format_func=lambda one: texts.TAB_NAME if one == TAB else named_zone(one), width=170,
            **keeping("photo zone", options[0]),
        )  # fmt: skip
        chosen = st.segmented_control(
            texts.MODE, list(texts.MODES), format_func=texts.MODES.__getitem__, **keeping("photo mode", "draw")
        )
        again = st.button(texts.CORNERS_AGAIN)
    mode: str = chosen or "draw"
    if again:
        keep(AGAIN, True)
        st.rerun()
    st.caption(texts.NEXT[mode])
    place = TAB if name == TAB else f"{number} {name}"
    target_line(case, place)
    for line in kept(SAID, ()):
        st.caption(plain(line))
    drawn = {texts.TAB_NAME if one == TAB else one: points for one, points in kept(ZONES, {}).items()}
    shapes = {texts.TARGET: corners, **drawn, **kept(SUGGESTED, {})}
    _canvas(shown, shapes, _handlers(desk, corners, place, mode), most=None, mode=mode)


def _handlers(desk: OpenedPhoto, corners: Any, place: str, mode: str) -> Handlers:
    def drawn(points: Points) -> None:
        keep(SAID, ())
        if mode != "tap":
            _put({place: points})
            return
        photo = case_source.lab().photo
        begin(f"{_TAP} {place}", points, lambda: photo.begin(photo.tapped, desk, corners, place, points[0]))

    tab = texts.TAB_NAME

    def moved(label: str, points: Points) -> None:
        label = TAB if label == tab else label
        pile = ZONES if label in kept(ZONES, {}) else SUGGESTED
        keep(pile, {**kept(pile, {}), label: points})

    def removed(label: str) -> None:
        label = TAB if label == tab else label
        for pile in (ZONES, SUGGESTED):
            keep(pile, {name: points for name, points in kept(pile, {}).items() if name != label})

    return Handlers(drawn, moved, removed)


def _take_up() -> None:
    """The outlines that were found since; while they are looked for, how far that is. What was stopped brings none."""
    for name, job in going_on(_TAP, _SUGGEST).items():
        if not job.was_stopped and not is_done(name, job):
            continue
        drop(name)
        if job.was_stopped:
            continue
        try:
            found: Outlines = job.result()
        except InputError as error:
            tell(texts.CANNOT.format(reason=error))
            continue
        if name == _SUGGEST:
            keep(SUGGESTED, found.zones)
            keep(SAID, tuple(found.why) if found.zones else (texts.NONE_SUGGESTED, *found.why))
        else:
            keep(SAID, found.why)
            _put(found.zones)


def _put(zones: Shapes) -> None:
    keep(ZONES, {**kept(ZONES, {}), **zones})
    keep(SUGGESTED, {name: points for name, points in kept(SUGGESTED, {}).items() if name not in zones})


def _suggesting(desk: OpenedPhoto, corners: Any, case: str | None) -> None:
    """Suggest outlines for teeth; they count once they were taken."""
    known = [(zone.tooth, zone.zone) for zone in case_source.case(case).desk.gaps().advised.zones] if case else []
    usual = teeth_shown(known) or "12 11 21 22"
    with st.container(horizontal=True, vertical_alignment="bottom"):
        typed = st.text_input(texts.TEETH, help=texts.TEETH_HELP, width=220, **keeping(f"photo teeth {case}", usual))
        if st.button(texts.SUGGEST):
            photo, wanted = case_source.lab().photo, wanted_of(typed, known)
            begin(_SUGGEST, tuple(wanted), lambda: photo.begin(photo.suggested, desk, corners, wanted))
            st.rerun()
        waiting: Shapes = kept(SUGGESTED, {})
        if waiting and st.button(counted(texts.TAKE, len(waiting)), type="primary"):
            _put(waiting)
            st.rerun()
        if waiting and st.button(texts.DROP):
            keep(SUGGESTED, {})
            keep(SAID, ())
            st.rerun()


def _canvas(
    shown: ShownPhoto,
    shapes: Shapes,
    handlers: Handlers,
    *,
    most: int | None,
    mode: str = "draw",
    key: str = "photo canvas",
) -> None:
    draw_outlines(
        shown.source,
        (shown.width, shown.height),
        shapes,
        label=texts.DRAW_LABEL[mode],
        most=most,
        key=key,
        handlers=handlers,
        mode=mode,
        fixed=(texts.TARGET,),
        dashed=tuple(kept(SUGGESTED, {})),
    )
