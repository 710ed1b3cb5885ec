"""From wherever all is read to the plan: one press begins it and shows it."""

from __future__ import annotations

from typing import Literal

import streamlit as st

from stainbook.pages.case import case_texts as words
from stainbook.pages.case.page_choices import choices
from stainbook.pages.shell import case_source
from stainbook.pages.shell.page_frame import go_to


def may_plan(code: str) -> bool:
    """Whether some zone has a gap, and stains are known for all that have one."""
    zones = [zone for zone in case_source.case(code).desk.gaps().advised.zones if zone.gap]
    return bool(zones) and not any(zone.why and zone.verdict == "stain" for zone in zones)


def to_plan(code: str, *, look: Literal["primary", "secondary"], where: str = "") -> None:
    """A press that begins the plan and leads to it; ``where`` tells two of one page apart."""
    if st.button(words.MAKE_PLAN, type=look, width="stretch", key=f"to plan {where}".strip()):
        case_source.case(code).desk.plan(choices().here.mixes)
        go_to("plan_page")
