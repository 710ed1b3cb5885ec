"""An open case changed: targets and effects of zones chosen on the arch, its zones, its settings; and undone."""

from __future__ import annotations

import streamlit as st

from stainbook.pages.case.case_head import case_head
from stainbook.pages.shell import texts
from stainbook.pages.shell import way_texts as words
from stainbook.pages.shell.page_frame import keep, kept, show_page
from stainbook.pages.targets.piece_form import limits_form, piece_form
from stainbook.pages.targets.targets_parts import (
    EditedCase,
    arch,
    effects_form,
    groups_form,
    show_effects,
    show_targets,
    target_form,
    undo_button,
    zones_form,
)
from stainbook.pages.widgets.markup import pick, segments
from stainbook.pages.widgets.touch import finger_targets


def _draw() -> None:
    head = case_head(words.TARGETS_TITLE)
    if head is None:
        return
    finger_targets()
    place = EditedCase.of(head.code)
    part = kept("targets part", "groups")
    which, back = st.columns([3, 1], vertical_alignment="bottom")
    with which:
        pick(
            segments(words.PARTS_LABEL, words.PARTS), label=words.PARTS_LABEL, chosen=part, key="part",
            on_pick=lambda found: keep("targets part", found),
        )  # fmt: skip
    with back:
        undo_button(place)
    if part in ("piece", "limits"):
        (piece_form if part == "piece" else limits_form)(place, head.press)
        return
    drawing, form = st.container(key="bench_screen").columns([7, 5], gap="large")
    with drawing:
        arch(place)
    with form:
        forms = {"groups": groups_form, "targets": target_form, "effects": effects_form, "zones": zones_form}
        forms[part](place, head.press)
    (show_effects if part == "effects" else show_targets)(place)


show_page(words.TARGETS_TITLE, _draw, cannot=texts.CANNOT, headed=True)
