"""The case: where each zone is, where it must go, and what to do next."""

from __future__ import annotations

import streamlit as st

from stainbook.pages import case_source, texts
from stainbook.pages.case_choice import some_case
from stainbook.pages.case_parts import (
    show_arch,
    show_by_eye,
    show_facts,
    show_list,
    show_odds,
    show_plots,
    show_steps,
    show_ways_on,
    show_zone,
)
from stainbook.pages.case_state import Choices, choices
from stainbook.pages.frame import show_page
from stainbook.work.schemas import AdvisedZone
from stainbook.work.views import CaseView


def _draw() -> None:
    chosen = choices()
    choice, facts, whole = st.columns([5, 11, 6], vertical_alignment="bottom")
    with choice:
        path = some_case(chosen)
    if path is None:
        return
    view = case_source.case_view(path)
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


def _show_case(view: CaseView, chosen: Choices) -> None:
    zone = _chosen_zone(view, chosen)
    arch, detail = st.columns([3, 2], gap="medium")
    with arch:
        show_arch(view, zone, chosen)
    with detail:
        show_zone(zone, chosen)
        show_ways_on(view, chosen)
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


show_page(texts.TITLE, _draw, cannot=texts.CANNOT_SHOW)
