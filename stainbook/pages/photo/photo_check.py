"""How well a shot was taken: exposure with its histogram, glare, focus, evenness, each as a sign and a sentence."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from stainbook.faces.photo_types import ShotCheck, judged_shot
from stainbook.pages.photo import photo_texts as texts
from stainbook.pages.shell.plain import counted
from stainbook.pages.widgets.markup import show_markup
from stainbook.words.escaping import escape

SIGNS = {True: "●", False: "✕", None: "○"}


def show_check(check: ShotCheck) -> None:
    """The check, folded away while all is well."""
    told = judged_shot(check)
    bad = sum(one.good is False for one in told)
    with st.expander(counted(texts.CHECK_BAD, bad) if bad else texts.CHECK_GOOD, expanded=bad > 0):
        show_markup(histogram_markup(check.histogram), key="photo histogram")
        lines = [
            f"{SIGNS[one.good]} {counted(texts.CHECKS[one.topic][one.case], one.patches, share=one.share)}"
            for one in told
        ]
        st.markdown("  \n".join(lines))


def histogram_markup(shares: Sequence[float]) -> str:
    """Bars of how many pixels are how bright, dark on the left."""
    top = max(max(shares), 1e-9)
    bars = "".join(
        f'<rect x="{4 * i}" y="{40 - 38 * (share / top) ** 0.5:.1f}" width="3.4" '
        f'height="{38 * (share / top) ** 0.5:.1f}" fill="currentColor"/>'
        for i, share in enumerate(shares)
    )
    width = 4 * len(shares)
    axis = f'<path d="M0 40.5H{width}" fill="none" stroke="currentColor"/>'
    label = escape(texts.HISTOGRAM)
    return f'<svg viewBox="0 0 {width} 42" style="max-width:420px" role="img" aria-label="{label}">{bars}{axis}</svg>'
