"""The picture from before: after a firing it is asked for below today's, since a change is surer than a colour."""

from __future__ import annotations

import streamlit as st

from stainbook.faces.photo_types import OpenedPhoto
from stainbook.faces.reading_types import Dropped
from stainbook.pages.photo import photo_texts as texts
from stainbook.pages.shell import case_source, wording
from stainbook.pages.shell.page_frame import keep, kept
from stainbook.pages.shell.plain import counted, plain
from stainbook.pages.widgets.camera_field import file_field, picture_field

BEFORE = "photo before"
_FILES = ("image", "scene", "flat")


def ask_before(case: str | None) -> None:
    """Offer to bring the picture from before: open where the case was fired, else folded away."""
    fired = case_source.lab().photo.fired_at(case) if case else None
    if fired:
        st.markdown(texts.FIRED.format(case=case or "", day=wording.day(fired)))
        _ask()
    else:
        with st.expander(texts.COMPARE, expanded=kept(BEFORE, None) is not None):
            _ask()


def _ask() -> None:
    standing: OpenedPhoto | None = kept(BEFORE, None)
    if standing is not None:
        st.caption(counted(texts.THEN_IS, len(standing.scene.zones), name=standing.image.name))
        if st.button(texts.THEN_FORGET):
            keep(BEFORE, None)
            st.rerun()
        return
    for name in _FILES:
        field = file_field if name == "scene" else picture_field
        fresh = field(texts.THEN[name], key=f"photo then {name} file", help=texts.THEN_HELP[name])
        if fresh is not None:
            keep(f"photo then {name}", fresh)
        elif found := kept(f"photo then {name}", None):
            st.caption(plain(found.name))


def before_desk(image: Dropped, table: Dropped) -> OpenedPhoto | None:
    """The picture from before with its drawing, None where there is none; it shares the target's table.

    Raises InputError for a drawing that cannot be used.
    """
    standing: OpenedPhoto | None = kept(BEFORE, None)
    if standing is None:
        files = [kept(f"photo then {name}", None) for name in _FILES]
        standing = (
            case_source.lab().photo.earlier(files[0], table, files[2], files[1]) if files[0] and files[1] else None
        )
    return standing if standing is not None and standing.image != image else None


def offer_as_before(desk: OpenedPhoto) -> None:
    """Let the picture at hand be the one that later ones are compared with."""
    if st.button(texts.AS_BEFORE, help=texts.AS_BEFORE_HELP):
        keep(BEFORE, desk)
        st.rerun()
