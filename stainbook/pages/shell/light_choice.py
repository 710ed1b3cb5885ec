"""Under which light and observer typed numbers hold, the same on every page."""

from __future__ import annotations

import streamlit as st

from stainbook.faces.reading_types import Light
from stainbook.language import joined
from stainbook.pages.shell import case_source, texts
from stainbook.pages.shell.page_frame import forget, keep, keeping, kept
from stainbook.pages.shell.plain import bare
from stainbook.words import light_names

LIGHTS = tuple((light, observer) for light in ("D65", "D50", "A", "F11") for observer in (10, 2))


def light_choice(case: str | None = None) -> Light:
    """Let the user say it once; until then that of the case's targets is taken, where a case is given by its path.

    Else it is what numbers were typed under last, on whichever screen; of an empty book it is said that nobody said it.
    """
    instruments = case_source.lab().readings.instruments().instruments
    named = {}
    for one in instruments:
        under = [joined(["(", light_names.viewing(one.illuminant, one.observer), ")"], "")] if one.observer else []
        named[joined([one.instrument, *under], " ")] = one.instrument
    stated = {light_names.viewing(light, observer): (light, observer) for light, observer in LIGHTS}
    options = [*named, *stated]
    if kept("light") not in options:
        forget("light")
        of_case = case_source.case(case).desk.gaps().viewing if case else None
        seen = of_case or case_source.lab().readings.light_of_last()
        own = light_names.viewing(seen.illuminant, seen.observer) if seen else ""
        keep("light", own if own in options else options[0])
    if kept("light") == options[0] and not named and case_source.lab().readings.light_of_last() is None:
        st.caption(texts.LIGHT_PRESET)
    found = st.selectbox(texts.LIGHT_LABEL, options, format_func=bare, help=texts.LIGHT_HELP, **keeping("light"))
    return Light(None, None, named[found]) if found in named else Light(*stated[found])
