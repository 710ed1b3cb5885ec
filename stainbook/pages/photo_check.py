"""How well a shot was taken: exposure with its histogram, glare, focus, evenness, each as a sign and a sentence."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import streamlit as st

from stainbook.pages import photo_texts as texts
from stainbook.pages.widgets.markup import show_markup
from stainbook.work.photo_desk import ShotCheck

WHITE = (0.4, 0.9)  # linear, of the lightest patch
MOST_CLIPPED = 0.002  # of the picture
MOST_BLUR = 0.12  # of a patch's width: twice that reaches into what is read of it
MOST_UNEVEN = 1.35  # brightest over darkest
GOOD, BAD, OPEN = "●", "✕", "○"


def show_check(check: ShotCheck) -> None:
    """The check, folded away while all is well."""
    told = list(_told(check))
    bad = sum(sign == BAD for sign, _ in told)
    with st.expander(texts.CHECK_BAD.format(n=bad) if bad else texts.CHECK_GOOD, expanded=bad > 0):
        show_markup(histogram_markup(check.histogram), key="photo histogram")
        st.markdown("  \n".join(f"{sign} {words}" for sign, words in told))


def _told(check: ShotCheck) -> Iterator[tuple[str, str]]:
    if check.white is None:
        yield OPEN, texts.CHECK_NO_TARGET
    else:
        low, high = WHITE
        kind = "dark" if check.white < low else "bright" if check.white > high else "good"
        yield GOOD if kind == "good" else BAD, texts.CHECK_WHITE[kind].format(share=check.white)
        sharp = check.blur is not None and check.blur <= MOST_BLUR
        yield GOOD if sharp else BAD, texts.CHECK_FOCUS[sharp].format(share=check.blur or 1.0)
    shines = check.clipped > MOST_CLIPPED or check.glints > 0
    yield BAD if shines else GOOD, texts.CHECK_GLARE[shines].format(share=check.clipped, n=check.glints)
    if check.uneven is None:
        yield OPEN, texts.CHECK_NO_FRAME
    else:
        even = check.uneven <= MOST_UNEVEN
        yield GOOD if even else BAD, texts.CHECK_EVEN[even].format(share=check.uneven - 1.0)


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
    label = texts.HISTOGRAM
    return f'<svg viewBox="0 0 {width} 42" style="max-width:420px" role="img" aria-label="{label}">{bars}{axis}</svg>'
