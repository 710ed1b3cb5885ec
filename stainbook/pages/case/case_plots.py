"""The plots of the case page: both planes around the target, and the spectra."""

from __future__ import annotations

import streamlit as st

from stainbook.faces.desk_types import step_of
from stainbook.language import joined
from stainbook.pages.case.case_shown import ShownCase, key_of
from stainbook.pages.shell import case_source, texts, wording
from stainbook.pages.shell.plain import bare, plain
from stainbook.pages.widgets import planes
from stainbook.pages.widgets.legend import plot_legend
from stainbook.pages.widgets.markup import show_markup
from stainbook.pages.widgets.spectrum_plot import spectra
from stainbook.words.places import place
from stainbook.work.documents.schemas import AdvisedZone, ColourResult, Move


def show_plots(shown: ShownCase) -> None:
    """The planes around the target and the spectra, with the step to be done, its doubt, and the way so far."""
    zone, move = shown.zone, shown.move
    st.subheader(f"{texts.PLOTS_TITLE}: {plain(place(zone.tooth, zone.zone))}", anchor=False)
    seen = case_source.case(shown.code).desk.seen(shown.desk, key_of(zone), step_of(move) if move else None)
    charts = planes.planes(zone, move.colour if move else None, seen)
    curves = [curve for curve in (seen.now, seen.after, seen.target) if curve is not None]
    show_markup(plot_legend(fired=bool(seen.path), doubt=seen.doubt is not None), key="marks")
    with st.container(horizontal=True, gap="medium"):
        for name, chart in zip(planes.titles().values(), charts, strict=False):
            st.vega_lite_chart(spec=chart, width="content", theme=None, alt=_said(name, zone, move))
        if curves:
            st.vega_lite_chart(spec=spectra(curves), width="content", theme=None, alt=texts.SPECTRUM)
    if not curves and not shown.partly:
        st.markdown(texts.NO_SPECTRUM)


def _said(name: str, zone: AdvisedZone, move: Move | None) -> str:
    colours: dict[str, ColourResult | None] = {
        texts.NOW: zone.now,
        texts.PREDICTED: move.colour if move else None,
        texts.TARGET: zone.target,
    }
    return bare(joined([name, *(joined([word, wording.lab(colour)], ": ") for word, colour in colours.items())], "; "))
