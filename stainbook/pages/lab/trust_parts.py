"""The part of the numbers page that sets claimed chances beside what came of them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import streamlit as st

from stainbook.pages.lab import numbers_texts as words
from stainbook.pages.shell import case_source, wording
from stainbook.pages.shell.page_frame import keeping
from stainbook.pages.shell.plain import plain
from stainbook.pages.widgets.lab_plots import reliability_plot
from stainbook.pages.widgets.markup import show_markup
from stainbook.pages.widgets.tables import table
from stainbook.words import trust
from stainbook.words.escaping import escape
from stainbook.work.documents.trust_schemas import TrustPart, TrustShare


def show_trust(since: date | None, until: date | None) -> None:
    """Draw it, of the firings between two days."""
    found = case_source.lab().numbers.trust(since, until)
    st.subheader(words.TRUST, anchor=False)
    said = [found.chosen.said, found.shadow.said if found.shadow else "", found.beside.said if found.beside else ""]
    for line in filter(None, [*said, trust.left_out(found.left_out)]):
        st.markdown(plain(line))
    if found.chosen.bins:
        st.markdown(words.TRUST_NOTE)
        _show_part(found.chosen)


def _show_part(part: TrustPart) -> None:
    left, right = st.columns([3, 2], gap="large")
    with left:
        group = st.selectbox(
            words.TRUST_BY_LABEL, list(words.TRUST_BY), format_func=lambda one: words.TRUST_BY[one],
            **keeping("trust_by", "month"),
        )  # fmt: skip
        rows = [(escape(_bin(one.least, one.most)), *_cells(one)) for one in part.bins]
        rows += [(escape(one.name), *_cells(one)) for one in part.groups if one.by == group]
        show_markup(table(words.TRUST_HEADS, rows, numbers=range(1, len(words.TRUST_HEADS)), wide=0), key="trust")
    with right:
        spec = reliability_plot(part.bins)
        st.vega_lite_chart(spec=spec, width="content", theme=None, alt=words.TRUST_PLOT)


def _bin(least: float, most: float) -> str:
    return words.TRUST_CLAIMED.format(least=trust.percent(least), most=trust.percent(most))


def _cells(one: TrustShare) -> Sequence[str]:
    likely = "–"
    if one.met_low is not None and one.met_high is not None:
        likely = words.LIKELY.format(low=trust.percent(one.met_low), high=trust.percent(one.met_high))
    return (
        str(one.zones),
        escape(_share(one.claimed)),
        escape(_share(one.met)),
        escape(likely),
        escape(_share(one.inside)),
        *map(_far, (one.expected, one.got)),
    )


def _share(share: float | None) -> str:
    return words.UNKNOWN if share is None else trust.percent(share)


def _far(value: float | None) -> str:
    return "–" if value is None else wording.one_decimal(value)
