"""The lab's numbers: how often the first firing does, firings a unit, what came back and why."""

from __future__ import annotations

import streamlit as st

from stainbook.pages.lab import numbers_texts as words
from stainbook.pages.lab.trust_parts import show_trust
from stainbook.pages.shell import case_source, texts, wording
from stainbook.pages.shell.page_frame import keeping, show_page
from stainbook.pages.shell.plain import plain
from stainbook.pages.shell.wording import returned_for
from stainbook.pages.widgets.lab_plots import reasons_plot, shares_plot
from stainbook.pages.widgets.markup import show_markup
from stainbook.pages.widgets.tables import table
from stainbook.words import money_words
from stainbook.words.escaping import escape
from stainbook.work.documents.number_schemas import NumbersResult, NumbersRow

PLOTTED = 14  # rows of a plot that a person looks at


def _draw() -> None:
    since, until, by, save = st.columns([2, 2, 2, 5], vertical_alignment="bottom")
    written = wording.date_form()
    first = since.date_input(words.SINCE, format=written, **keeping("numbers_since", None))
    last = until.date_input(words.UNTIL, format=written, **keeping("numbers_until", None))
    group = by.selectbox(
        words.BY_LABEL, list(words.BY), format_func=lambda one: words.BY[one], **keeping("numbers_by", "stain")
    )
    with st.spinner(words.WORKING, show_time=True):
        found = case_source.lab().numbers.of(first, last)
    whole = next((row for row in found.rows if row.by == "all"), None)
    if whole is None:
        st.info(words.NONE_THEN if first or last else words.NOTHING)
        return
    with save.container(horizontal=True, horizontal_alignment="right"):
        _save(found)
    for note in found.notes:
        st.info(plain(note))
    if not whole.few:
        show_markup(_facts(whole), key="facts")
    rows = [row for row in found.rows if row.by == group]
    show_markup(table(words.HEADS, [_cells(row) for row in rows], numbers=(1, 2, 3, 4, 5, 6), wide=7), key="rows")
    st.markdown(words.NOTE)
    with st.container(horizontal=True, gap="large"):
        _plots(rows, whole)
    _costs()
    show_trust(first, last)


def _costs() -> None:
    """What a case took before and since a day, and what that costs."""
    st.subheader(words.COSTS, anchor=False)
    since = st.date_input(words.COSTS_SINCE, width=220, **keeping("costs_since", None))
    found = case_source.lab().numbers.costs(since)
    rows = [
        (escape(money_words.PERIODS[row.period]), *map(escape, money_words.figures(row, found.currency)))
        for row in found.rows
    ]
    show_markup(table(words.COSTS_HEADS, rows, numbers=range(1, len(words.COSTS_HEADS)), wide=0), key="costs")
    for note in found.notes:
        st.caption(plain(note))
    st.caption(words.COSTS_NOTE)


def _save(found: NumbersResult) -> None:
    numbers = case_source.lab().numbers
    st.download_button(words.CSV, numbers.csv(found), "numbers.csv", "text/csv", on_click="ignore")
    st.download_button(words.EXCEL, lambda: numbers.workbook(found), "numbers.xlsx", on_click="ignore")


def _facts(whole: NumbersRow) -> str:
    share = words.NOT_STATED
    if whole.first_firing is not None:
        low, high = _percent(whole.first_firing_low), _percent(whole.first_firing_high)
        share = words.OF_UNITS.format(share=_percent(whole.first_firing), judged=whole.judged, low=low, high=high)
    said = {
        "first": share,
        "firings": _one(whole.firings_a_unit),
        "returned": _returned(whole) or "0",
        "minutes": _whole(whole.minutes),
        "apart": _one(whole.dE00_median),
    }
    facts = "".join(
        f"<div><dt>{escape(words.FACTS[key])}</dt><dd>{escape(value)}</dd></div>" for key, value in said.items()
    )
    return f'<dl class="facts">{facts}</dl>'


def _cells(row: NumbersRow) -> tuple[str, ...]:
    likely = words.LIKELY.format(low=_percent(row.first_firing_low), high=_percent(row.first_firing_high))
    return (
        escape(row.name),
        str(row.units),
        _percent(row.first_firing),
        escape(likely) if row.judged else "–",
        _one(row.firings_a_unit),
        _whole(row.minutes),
        _one(row.dE00_median),
        escape(_returned(row)),
    )


def _plots(rows: list[NumbersRow], whole: NumbersRow) -> None:
    judged = [row for row in rows if row.judged][:PLOTTED]
    if judged:
        st.vega_lite_chart(spec=shares_plot(judged), width="content", theme=None, alt=words.PLOT)
    if whole.returned:
        st.vega_lite_chart(spec=reasons_plot(whole.returned), width="content", theme=None, alt=words.REASONS)


def _percent(share: float | None) -> str:
    return "–" if share is None else f"{100.0 * share:.0f}\u00a0%"


def _one(value: float | None) -> str:
    return "–" if value is None else wording.one_decimal(value)


def _whole(value: float | None) -> str:
    return "–" if value is None else f"{value:.0f}"


def _returned(row: NumbersRow) -> str:
    return returned_for(row.returned)


show_page(texts.PAGES["numbers"], _draw, cannot=texts.CANNOT)
