"""Witness discs of one sintering: told with it, read first, and what they move of the piece's expected colours."""

from __future__ import annotations

import streamlit as st

from stainbook.faces.firing_types import DiscRun, WitnessView
from stainbook.pages.case.case_head import case_head
from stainbook.pages.lab import discs_texts as words
from stainbook.pages.readings.typing_parts import drop_drafts, forget_typed, show_form, typed_in
from stainbook.pages.shell import case_source, texts, wording
from stainbook.pages.shell.caution_parts import show_cautions
from stainbook.pages.shell.light_choice import light_choice
from stainbook.pages.shell.page_frame import do, go_to, keeping, show_page, to_stripes
from stainbook.pages.shell.plain import plain
from stainbook.pages.shell.pressing import pressed
from stainbook.pages.widgets.markup import show_markup
from stainbook.pages.widgets.tables import table
from stainbook.words import safety
from stainbook.words.escaping import escape
from stainbook.words.places import place


def _draw() -> None:
    head = case_head(texts.PAGES["discs"])
    if head is None:
        return
    code = head.code
    drop_drafts()
    st.markdown(words.LEAD)
    view = case_source.case(code).firing.discs()
    if view.unread:
        _read(code, view)
    elif view.discs:
        _expected(view)
    elif not view.may:
        st.info(words.NOT_GREEN.format(code=code))
    elif view.blank is None:
        st.info(words.NO_BLANK.format(code=code))
    else:
        _sinter(code, view)
    if st.button(words.TO_CASE):
        go_to("case_page")


def _sinter(code: str, view: WitnessView) -> None:
    left, right = st.columns(2, gap="large")
    with left:
        mix = st.text_input(words.MIX, help=words.MIX_HELP, **keeping(f"disc mix {code}", view.liquids))
        run = st.text_input(words.RUN, help=words.RUN_HELP, **keeping(f"disc run {code}"))
    with right:
        who = st.text_input(words.WHO, **keeping(f"disc who {code}"))
        programme = st.text_input(words.PROGRAMME, **keeping(f"disc programme {code}"))
    told = DiscRun(mix, run.strip() or None, who.strip() or None, programme.strip() or None)
    if pressed(words.SINTERED, type="primary", disabled=not mix.strip()):
        do(lambda: case_source.case(code).firing.sinter_with_discs(told), cannot=words.CANNOT)
    show_cautions(safety.AT["sheet, unsintered"])


def _read(code: str, view: WitnessView) -> None:
    st.markdown(f"**{words.READ}**")
    with st.container(width=420):
        light = light_choice()
    name = f"discs {code}"
    rows = [
        (disc, words.COLOURED.format(painted=painted) if painted else words.BARE)
        for disc, painted in view.discs.items()
    ]
    answered = show_form(name, rows, light)

    def act() -> None:
        case_source.case(code).firing.read_discs(typed_in(name), light)
        forget_typed(name)

    ready = answered and len(typed_in(name)) == len(view.discs)
    if pressed(words.SAVE, type="primary", disabled=not ready):
        do(act, cannot=words.CANNOT)


def _expected(view: WitnessView) -> None:
    """Where the zones stand by what the discs showed."""
    for disc, why in view.ignored.items():
        painted = view.discs.get(disc, "")
        name = words.COLOURED.format(painted=painted) if painted else words.BARE if disc in view.discs else disc
        st.warning(plain(words.IGNORED.format(disc=name, reason=why)))
    st.markdown(f"**{words.EXPECTED}**")
    known = [(one, one.standing) for one in view.zones if one.standing is not None and one.standing.L is not None]
    if not known:
        st.info(words.NOTHING_KNOWN)
        to_stripes()
        return
    rows = [
        (
            escape(place(one.tooth, one.zone)),
            *(wording.one_decimal(value) if value is not None else "–" for value in (at.L, at.a, at.b, at.u)),
        )
        for one, at in known
    ]
    show_markup(table(words.EXPECTED_HEADS, rows, numbers=(1, 2, 3, 4), wide=0), key="expected")


show_page(texts.PAGES["discs"], _draw, cannot=texts.CANNOT, headed=True)
