"""The case: where each zone is, where it must go, and what to do next."""

from __future__ import annotations

import logging

import streamlit as st

from stainbook.errors import StainbookError
from stainbook.pages import case_source, texts
from stainbook.pages.case_parts import (
    show_arch,
    show_by_eye,
    show_facts,
    show_list,
    show_odds,
    show_plots,
    show_steps,
    show_zone,
)
from stainbook.pages.case_state import Choices, choices
from stainbook.work.schemas import AdvisedZone
from stainbook.work.views import CaseView


def page() -> None:
    """Draw the page; a failure is one sentence, never a traceback."""
    st.set_page_config(page_title=texts.TITLE, layout="wide")
    chosen = choices()
    try:
        _draw(chosen)
    except StainbookError as error:
        st.warning(texts.CANNOT_SHOW.format(reason=error))
    except (ValueError, ArithmeticError, LookupError, TypeError, OSError):
        logging.getLogger(__name__).exception("the case page failed")
        st.warning(texts.FAILED)


def _draw(chosen: Choices) -> None:
    files = case_source.case_files()
    if not files:
        st.info(texts.NO_CASES.format(folder=case_source.folder()))
        st.button(texts.LOOK_AGAIN, type="primary")
        return
    choice, facts, whole = st.columns([5, 11, 6], vertical_alignment="bottom")
    with choice:
        _choose_case(chosen, files)
    view = case_source.case_view(chosen.case or files[0])
    with facts:
        show_facts(view)
    with whole:
        show_odds(view)
    for warning in view.warnings:
        st.info(warning)
    if not view.advised.zones:
        st.info(texts.NO_ZONES)
        return
    _show_case(view, chosen)


def _choose_case(chosen: Choices, files: list[str]) -> None:
    if chosen.case not in files:
        chosen.case = files[0]

    def take() -> None:
        chosen.case = st.session_state["case_file"]

    st.selectbox(
        texts.CHOOSE_CASE,
        files,
        index=files.index(chosen.case),
        format_func=case_source.case_name,
        key="case_file",
        on_change=take,
    )


def _show_case(view: CaseView, chosen: Choices) -> None:
    zone = _chosen_zone(view, chosen)
    arch, detail = st.columns([3, 2], gap="medium")
    with arch:
        show_arch(view, zone, chosen)
    with detail:
        show_zone(zone, chosen)
    show_steps(zone, chosen)
    show_plots(view, zone, chosen)
    show_list(view, zone, chosen)
    show_by_eye(view)


def _chosen_zone(view: CaseView, chosen: Choices) -> AdvisedZone:
    """The zone chosen before, else the one that is farthest from its target."""
    by_key = {(zone.tooth, zone.zone): zone for zone in view.advised.zones}
    here = chosen.here
    if here.zone not in by_key:
        here.zone = max(by_key, key=lambda key: gap.dE00 if (gap := by_key[key].gap) else -1.0)
    return by_key[here.zone]


page()
