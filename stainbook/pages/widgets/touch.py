"""Targets for fingers: on a screen that is touched, what can be pressed is 56 px high."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

_STYLE = Path(__file__).with_name("touch.css")


def finger_targets() -> None:
    """Make the targets of this page large where it is touched; a page with a mouse stays as it is."""
    st.html(_STYLE)
