"""A new case: its teeth, and where their colour must go."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st

from stainbook.faces.reading_types import Light
from stainbook.faces.wish_types import GREEN, NewCase, TypedTarget
from stainbook.pages.case.page_choices import choices
from stainbook.pages.shell import case_source, texts
from stainbook.pages.shell import way_texts as words
from stainbook.pages.shell.light_choice import light_choice
from stainbook.pages.shell.page_frame import forget, go_to, keeping, show_page
from stainbook.pages.shell.plain import named_zone
from stainbook.pages.shell.pressing import pressed
from stainbook.records import GUM_ZONES

TYPED = ("code", "tooth", "gingiva")  # emptied once the case is made


def _draw() -> None:
    piece, goal = st.columns(2, gap="large")
    with piece:
        asked = _piece()
    with goal:
        light = light_choice()
        targets = {tissue: _target(tissue, light) for tissue in ("tooth", *(["gingiva"] if asked.gum else []))}
    if pressed(texts.MAKE_CASE, type="primary"):
        _make(replace(asked, targets=targets))


def _make(asked: NewCase) -> None:
    choices().case = case_source.lab().cases.make(asked)
    for name in TYPED:
        forget(f"new_{name}")
    wanted = any(one.tab or one.lab.strip() for one in asked.targets.values())
    go_to("readings_page" if wanted and asked.stage != GREEN else "targets_page")


def _piece() -> NewCase:
    code = st.text_input(texts.CODE, help=texts.CODE_HELP, **keeping("new_code"))
    st.caption(words.CODE_NOT_NAME)
    teeth = st.text_input(texts.TEETH, help=texts.TEETH_HELP, **keeping("new_teeth", "15-25"))
    material = st.text_input(texts.MATERIAL, **keeping("new_material", "zirconia"))
    stage = st.selectbox(
        texts.STAGE_LABEL, list(texts.STAGES), format_func=texts.STAGES.__getitem__, **keeping("new_stage", "blasted")
    )
    blank = _blank() if stage == GREEN else None
    gum = st.multiselect(
        texts.GUM, list(GUM_ZONES), format_func=named_zone, **keeping("new_gum", ["attached", "papilla"])
    )
    few = st.checkbox(texts.FEW, help=texts.FEW_HELP, **keeping("new_few", True))
    finish = st.selectbox(
        texts.FINISH_LABEL, list(texts.FINISH), format_func=texts.FINISH.__getitem__, **keeping("new_finish", "glaze")
    )
    who = st.text_input(words.WHO, **keeping("new_who"))
    return NewCase(
        code.strip(), teeth, tuple(gum), material=material.strip(), stage=stage, finish=finish, few=few,
        operator=who.strip(), body=blank,
    )  # fmt: skip


def _blank() -> str | None:
    """The blank that a green piece was milled from; its sintered colour is where the stain starts."""
    blanks = case_source.lab().cases.names_offered().blanks
    if not blanks:
        st.info(words.NO_BLANKS)
        return None
    found: str | None = st.selectbox(words.BLANK, blanks, **keeping("new_blank", blanks[0]))
    return found


def _target(tissue: str, light: Light) -> TypedTarget:
    """What the teeth or the gum shall look like, typed or as a tab of the guide."""
    key = f"new_{tissue}"
    lab = st.text_input(texts.TARGET_OF[tissue], help=texts.TARGET_HELP, **keeping(key))
    tabs = case_source.lab().cases.names_offered().tabs[tissue]
    if not tabs:
        return TypedTarget(lab, None, *light)
    tab = st.selectbox(texts.TAB_OR_LAB, [None, *tabs], 0, lambda one: one or texts.NO_TAB, key=f"{key}_tab")
    return TypedTarget(lab, tab, *light)


show_page(texts.PAGES["new_case"], _draw, cannot=texts.CANNOT_MAKE)
