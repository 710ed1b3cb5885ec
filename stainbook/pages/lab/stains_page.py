"""The lab's stains: what a coat of each does, its stripes, its jars; plates, new stripes, and the weekly chip."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import streamlit as st

from stainbook.errors import InputError
from stainbook.faces.exchange_types import safe_name
from stainbook.faces.reading_types import Dropped
from stainbook.faces.stain_types import MOST_MB, StainRow, StainView
from stainbook.language import capitalised, joined
from stainbook.pages.lab import stains_texts as words
from stainbook.pages.lab import stripes_texts as stripe_words
from stainbook.pages.shell import case_source, texts, wording
from stainbook.pages.shell.page_frame import go_to, in_this_language, keep, keeping, kept, show_page, to_stripes
from stainbook.pages.shell.plain import counted, plain
from stainbook.pages.shell.pressing import writing_button
from stainbook.pages.widgets.lab_plots import control_plot, jars_plot
from stainbook.pages.widgets.markup import pick, show_markup
from stainbook.pages.widgets.shelf_tables import next_markup, stains_markup, stripes_markup
from stainbook.pages.widgets.spectrum_plot import coats

AXES = ("L", "a", "b")


def _draw() -> None:
    stains = case_source.lab().stains.rows()
    if st.button(stripe_words.ADD_OR_STRIPES, type="secondary" if stains else "primary"):
        go_to("stripes_page")
    names, detail = st.columns([2, 3], gap="large")
    with names:
        chosen = _list(stains)
        _bring()
        _weekly()
    with detail:
        if chosen is None:
            st.info(texts.NO_STAINS)
            return
        _next(chosen)
        _stain(next(one for one in stains if one.name == chosen))


def _list(stains: Sequence[StainRow]) -> str | None:
    if not stains:
        return None
    known = [one.name for one in stains]
    if kept("stain") not in known:
        keep("stain", known[0])
    pick(
        stains_markup(stains), label=texts.STAIN_LABEL, chosen=kept("stain"), key="stain_rows",
        on_pick=lambda name: keep("stain", name),
    )  # fmt: skip
    return str(kept("stain"))


# ---------------------------------------------------------------- one stain


def _stain(row: StainRow) -> None:
    name = row.name
    st.subheader(plain(name), anchor=False)
    view = case_source.lab().stains.view(name)
    counts = counted(stripe_words.STRIPE_COUNT, row.all)
    st.markdown(stripe_words.STRIPES_OF.format(stripes=counts, work=row.work) if row.work else counts)
    if not row.all:
        st.info(texts.NO_STRIPES.format(stain=name))
        to_stripes()
    if view.curves and view.plate:
        st.vega_lite_chart(
            spec=coats(texts.ONE_COAT.format(plate=view.plate), view.curves), width="content", theme=None,
            alt=texts.ONE_COAT.format(plate=view.plate),
        )  # fmt: skip
    _jars(view)
    if view.stripes:
        st.markdown(f"**{texts.STRIPES_TITLE}**")
        show_markup(stripes_markup(view.stripes), key="stripes")


def _jars(view: StainView) -> None:
    """What firings taught of its jars and of the hands that lay it on."""
    st.markdown(f"**{words.JARS}**")
    if not view.jars:
        st.markdown(words.NO_JARS)
    learnt = [*view.jars, *view.hands]
    if learnt:
        st.markdown("  \n".join(f"{plain(capitalised(one.sentence))}." for one in learnt))
        st.vega_lite_chart(spec=jars_plot(learnt), width="content", theme=None, alt=words.JARS_PLOT)
        st.markdown(words.JARS_NOTE)


def _next(name: str) -> None:
    """Which stripe would help the open cases most, worked out when it is asked for; and plates to print."""
    stains = case_source.lab().stains
    with st.container(horizontal=True):
        asked = st.button(texts.NEXT_STRIPE, type="primary")
        if name != "clear":
            st.download_button(
                words.PLATE.format(stain=name), in_this_language(partial(stains.plate_page, [name])),
                safe_name(f"plates-{name}", "html"), "text/html", on_click="ignore",
            )  # fmt: skip
    if asked:
        cases = case_source.lab().cases.listed().newest()
        if not cases:
            st.info(texts.NO_OPEN)
            return
        try:
            with st.spinner(texts.NEXT_WORKING, show_time=True):
                keep("next_stripes", stains.next_stripes(cases))
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


# ---------------------------------------------------------------- stripes by file, the weekly chip


def _bring() -> None:
    if kept("stripes_learnt"):
        st.success(kept("stripes_learnt"))
    with st.expander(words.MORE):
        st.markdown(words.MORE_NOTE)
        _templates()
        files = st.file_uploader(
            words.DROP, accept_multiple_files=True, key=f"stripes {kept('stripes_round', 0)}",
            max_upload_size=MOST_MB,
        )  # fmt: skip
        if not files or not writing_button(counted(words.LEARN, len(files))):
            return
        try:
            with st.spinner(words.LEARNING, show_time=True):
                done = case_source.lab().stains.learn_from([Dropped(one.name, one.getvalue()) for one in files])
        except InputError as error:
            st.warning(words.NOT_LEARNT.format(reason=error))
            return
        fits = sorted(one.dE00_median for one in done.stains if one.dE00_median is not None)
        median = wording.one_decimal(fits[len(fits) // 2]) if fits else "–"
        keep("stripes_learnt", words.LEARNT.format(stains=len(fits), dE00=median, warnings=joined(done.warnings, " ")))
        keep("stripes_round", kept("stripes_round", 0) + 1)
        st.rerun()


def _templates() -> None:
    """Files with a few filled lines, to go on with."""
    st.markdown(f"**{stripe_words.TEMPLATES}**  \n{stripe_words.TEMPLATES_NOTE}")
    with st.container(horizontal=True):
        for name, text in case_source.lab().stains.templates().items():
            st.download_button(name, text, name, "text/plain", on_click="ignore", key=f"template {name}")


def _weekly() -> None:
    with st.expander(words.CONTROL, on_change="rerun", key="weekly") as shown:
        if not shown.open:
            return
        st.markdown(words.CONTROL_NOTE)
        readings = case_source.lab().readings
        chips = readings.weekly_chips()
        if not chips:
            st.markdown(words.NO_CONTROL)
            return
        chip = st.selectbox(words.CHIP, chips, **keeping("control_chip", chips[0]))
        try:
            found = readings.control(chip)
        except InputError as error:
            st.warning(texts.CANNOT.format(reason=error))
            return
        signals = joined(found.points[-1].signals, "; ")
        st.markdown(words.IN_CONTROL if found.in_control else words.OUT_OF_CONTROL.format(signals=signals))
        for axis in AXES:
            st.vega_lite_chart(
                spec=control_plot(found, axis, last=axis == AXES[-1]), width="content", theme=None,
                alt=f"{words.CONTROL}, {axis}*",
            )  # fmt: skip


show_page(texts.PAGES["stains"], _draw, cannot=texts.CANNOT)
