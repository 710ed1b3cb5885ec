"""A tray: several pieces in one firing, how long it still takes, and one record for all of them."""

from __future__ import annotations

from typing import Literal

import streamlit as st

from stainbook.faces.tray_types import TrayWish, kinds, minutes_of
from stainbook.pages.bench import tray_texts as words
from stainbook.pages.bench.tray_parts import in_furnace, listed, taken_out
from stainbook.pages.shell import case_source, texts
from stainbook.pages.shell import way_texts as named
from stainbook.pages.shell.caution_parts import show_cautions
from stainbook.pages.shell.name_field import name_field
from stainbook.pages.shell.page_frame import do, go_to, keep, keeping, kept, show_page
from stainbook.pages.shell.plain import bare, counted
from stainbook.pages.shell.pressing import pressed
from stainbook.words import safety


def _draw() -> None:
    in_furnace()
    taken_out()
    st.subheader(words.NEW, anchor=False)
    if not case_source.lab().cases.listed().newest(out=False):
        st.info(words.NO_PIECES)
        if st.button(texts.MAKE_CASE, type="primary"):
            go_to("new_case_page")
        return
    st.markdown(words.LEAD)
    wish = _wish()
    chosen = listed(wish)
    why = None if chosen else words.NONE_TICKED
    look: Literal["primary", "secondary"] = "secondary" if case_source.lab().tray.in_furnace() else "primary"
    if pressed(counted(words.PUT_IN, len(chosen)), type=look, disabled=not chosen, help=why):
        do(lambda: _put_in(chosen, wish), cannot=words.CANNOT)
    show_cautions(safety.AT["fire"])


def _put_in(chosen: list[str], wish: TrayWish) -> None:
    case_source.lab().tray.put_in(chosen, wish)
    keep("ticked pieces", [])
    keep("tray_minutes_of", None)


def _wish() -> TrayWish:
    """Kind, programme, furnace, technician and minutes, said once; the minutes are those of the programme."""
    found = case_source.lab().settings.now()
    said = kinds()
    kind, programme, furnace, who, minutes = st.columns([3, 3, 3, 3, 2], vertical_alignment="bottom")
    chosen = kind.selectbox(
        words.KIND, list(said), format_func=lambda one: bare(said[one]), **keeping("tray_kind", "stain")
    )
    names = [one.programme for one in found.programmes]
    named_as = name_field(programme, named.PROGRAMME, names, "tray_programme", help_=named.PROGRAMME_HELP)
    furnaces = list(dict.fromkeys(one.furnace for one in found.programmes if one.furnace))
    place = name_field(furnace, named.FURNACE, furnaces, "tray_furnace")
    person = name_field(who, named.WHO, list(found.people), "tray_operator")
    if kept("tray_minutes_of", None) != named_as:  # another programme was chosen: its own time
        keep("tray_minutes_of", named_as)
        keep("tray_minutes", minutes_of(found.programmes, named_as))
    typed = minutes.text_input(named.MINUTES, help=words.MINUTES_HELP, **keeping("tray_minutes"))
    return TrayWish(chosen, named_as, place, person, typed)


show_page(texts.PAGES["tray"], _draw, cannot=texts.CANNOT)
