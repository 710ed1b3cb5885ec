"""The settings of a case beside its zones: piece, technician, jars, limits."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import streamlit as st

from stainbook.faces.wish_types import CaseSettings
from stainbook.pages.shell import case_source, texts
from stainbook.pages.shell import way_texts as words
from stainbook.pages.shell.page_frame import keeping
from stainbook.pages.shell.plain import bare
from stainbook.pages.shell.pressing import writing_button
from stainbook.pages.targets.jars_field import ChosenJars, jars_field
from stainbook.stage_words import stage_name

if TYPE_CHECKING:
    from stainbook.faces.wish_face import WishFace
    from stainbook.pages.targets.targets_parts import EditedCase

MOST = {"firings_left": 20, "layers": 6, "coats": 20}
MOST_MIXES = 100


def piece_form(place: EditedCase, do: Any) -> None:
    """The piece, and whose hand and which programme are meant; one press keeps them."""
    now = place.wish.settings()
    end = f"{place.code} {hash(now)}"  # fields of their own for what holds now: an undo shows in them
    piece, hand = st.columns(2, gap="large")
    with piece:
        material, stage, finish, body = _piece(now, end)
    with hand:
        operator = st.text_input(words.WHO, **keeping(f"set who {end}", now.operator))
        programme = st.text_input(words.PROGRAMME, **keeping(f"set programme {end}", now.programme))
    told = replace(
        now, material=material, stage=stage, finish=finish, body=body, operator=operator, programme=programme
    )
    if writing_button(words.KEEP_SETTINGS, place=do, type="primary", width="stretch", disabled=told == now):
        place.change(lambda wish: wish.set(told))


def limits_form(place: EditedCase, do: Any) -> None:
    """Jars in use and the limits of a firing; one press keeps them."""
    now = place.wish.settings()
    end = f"{place.code} {hash(now)}"
    in_use, limits = st.columns(2, gap="large")
    with in_use:
        jars = jars_field(now.lots, end)
    with limits:
        bounded = _limits(now, end)
    told = replace(bounded, lots=jars.lots)
    if writing_button(
        words.KEEP_SETTINGS, place=do, type="primary", width="stretch", disabled=told == now or not jars.sure
    ):
        place.change(lambda wish: _keep(wish, told, jars))


def _keep(wish: WishFace, told: CaseSettings, jars: ChosenJars) -> None:
    wish.set(told)
    jars.enter()


def _piece(now: CaseSettings, end: str) -> tuple[str, str | None, str, str | None]:
    material = st.text_input(texts.MATERIAL, **keeping(f"set material {end}", now.material))
    stages = list(dict.fromkeys([*texts.STAGES, *([now.stage] if now.stage else [])]))
    stage = st.selectbox(
        texts.STAGE_LABEL, stages, index=None, format_func=lambda one: texts.STAGES.get(one) or bare(stage_name(one)),
        **keeping(f"set stage {end}", now.stage),
    )  # fmt: skip
    blank = now.body
    if stage == "green":
        offered = case_source.lab().cases.names_offered().blanks
        known = list(dict.fromkeys([*offered, *([now.body] if now.body else [])]))
        blank = st.selectbox(
            words.BLANK, known, index=None, placeholder=words.NO_BLANK, **keeping(f"set blank {end}", now.body)
        )
    finish = st.selectbox(
        texts.FINISH_LABEL, list(texts.FINISH), format_func=texts.FINISH.__getitem__,
        **keeping(f"set finish {end}", now.finish),
    )  # fmt: skip
    return material, stage, finish, blank


def _limits(now: CaseSettings, end: str) -> CaseSettings:
    """The settings with other limits."""
    counts = [
        int(
            st.number_input(
                label,
                min_value=0 if name == "firings_left" else 1,
                max_value=MOST[name],
                **keeping(f"set {name} {end}", getattr(now, name)),
            )
        )
        for name, label in words.LIMIT_LABELS.items()
    ]
    pots = st.number_input(
        words.MIXES, min_value=1, max_value=MOST_MIXES, value=None, placeholder=words.MIXES_ANY,
        **keeping(f"set mixes {end}", now.pots),
    )  # fmt: skip
    strengths = st.text_input(
        words.STRENGTHS, help=words.STRENGTHS_HELP, **keeping(f"set strengths {end}", now.strengths)
    )
    known = list(dict.fromkeys([*case_source.lab().cases.names_offered().stains, *now.stains]))
    stains = st.multiselect(words.ONLY_STAINS, known, **keeping(f"set stains {end}", list(now.stains)))
    return replace(
        now, firings_left=counts[0], layers=counts[1], coats=counts[2], pots=int(pots) if pots else None,
        strengths=strengths, stains=tuple(stains),
    )  # fmt: skip
