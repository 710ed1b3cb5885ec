"""The lab's stains: what a coat of each does, its stripes as the fit meets them, which stripe to fire next."""

from __future__ import annotations

import streamlit as st

from stainbook.errors import InputError
from stainbook.pages import case_source, texts
from stainbook.pages.frame import keep, kept, show_page
from stainbook.pages.widgets.markup import pick, show_markup
from stainbook.pages.widgets.shelf_tables import next_markup, stains_markup, stripes_markup
from stainbook.pages.widgets.spectra import coats
from stainbook.work.stain_views import StainRow, stain_rows, stain_view, worth_firing


def _draw() -> None:
    stains = stain_rows(case_source.book_url())
    if not stains:
        st.info(texts.NO_STAINS)
        return
    names, detail = st.columns([2, 3], gap="large")
    with names:
        chosen = _list(stains)
    with detail:
        _next()
        _stain(chosen)


def _list(stains: list[StainRow]) -> str:
    known = [one.name for one in stains]
    if kept("stain") not in known:
        keep("stain", known[0])
    pick(
        stains_markup(stains), label=texts.STAIN_LABEL, chosen=kept("stain"), key="stain_rows",
        on_pick=lambda name: keep("stain", name),
    )  # fmt: skip
    return str(kept("stain"))


def _stain(name: str) -> None:
    st.subheader(name, anchor=False)
    view = stain_view(case_source.book_url(), name)
    if not view.stripes:
        st.info(texts.NO_STRIPES.format(stain=name))
    if view.curves and view.plate:
        st.vega_lite_chart(
            spec=coats(texts.ONE_COAT.format(plate=view.plate), view.curves), width="content", theme=None,
            alt=texts.ONE_COAT.format(plate=view.plate),
        )  # fmt: skip
    if view.stripes:
        st.markdown(f"**{texts.STRIPES_TITLE}**")
        show_markup(stripes_markup(view.stripes), key="stripes")


def _next() -> None:
    """Which stripe would help the open cases most; worked out when it is asked for, since it takes a while."""
    if st.button(texts.NEXT_STRIPE, type="primary"):
        cases = case_source.newest()
        if not cases:
            st.info(texts.NO_OPEN)
            return
        try:
            with st.spinner(texts.NEXT_WORKING, show_time=True):
                keep("next_stripes", worth_firing(case_source.book_url(), cases))
        except InputError as error:
            st.warning(texts.CANNOT.format(reason=error))
            return
    found = kept("next_stripes", None)
    if found is None:
        return
    if found:
        show_markup(next_markup(found[:5]), key="next")
    else:
        st.info(texts.NO_NEXT)


show_page(texts.PAGES["stains"], _draw, cannot=texts.CANNOT)
