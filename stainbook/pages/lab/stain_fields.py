"""Fields for a stain: what colour it is, which form its jar comes in."""

from __future__ import annotations

import streamlit as st

from stainbook.pages.lab import stains_texts as words
from stainbook.pages.shell.page_frame import keeping


def family_field(label: str, *, key: str) -> str | None:
    """The colour family of a stain; None while it is not said."""
    said = st.selectbox(label, ["", *words.FAMILIES], format_func=_family, **keeping(key))
    return said or None


def form_field(label: str, *, key: str) -> str:
    """The form in which a jar comes."""
    return str(st.selectbox(label, list(words.FORMS), format_func=words.FORMS.__getitem__, **keeping(key, "paste")))


def _family(name: str) -> str:
    return words.FAMILIES[name] if name else words.NOT_SAID
