"""The parts of the settings page that name people's roles, who sits here, and the lab's prices."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from stainbook.faces.server_types import LEAD
from stainbook.faces.setting_types import LabSettings
from stainbook.pages.lab import settings_texts as words
from stainbook.pages.shell import case_source
from stainbook.pages.shell.number_field import typed_as
from stainbook.pages.shell.page_frame import keep, keeping, kept
from stainbook.pages.shell.plain import bare
from stainbook.pages.shell.pressing import pressed, shut


def show_roles(found: LabSettings, changed: Callable[..., None]) -> None:
    """Who sits here in this window, who leads, who is an apprentice."""
    if case_source.signed_in() is None:  # else it is who signed in
        _show_who(found)
    st.subheader(words.ROLES, anchor=False)
    leads = st.multiselect(words.LEADS, found.people, format_func=bare, **keeping("set_leads", list(found.leads)))
    sees = st.toggle(
        words.LEAD_SEES_ALL, **({"help": words.LEAD_SEES_HELP} | shut(LEAD)), **keeping("set_sees", found.lead_sees_all)
    )
    apprentices = st.multiselect(
        words.APPRENTICES, found.people, help=words.APPRENTICES_HELP, format_func=bare,
        **keeping("set_apprentices", list(found.apprentices)),
    )  # fmt: skip
    if pressed(words.SAVE, needs=LEAD, key="keep roles"):
        case_source.lab().settings.keep_roles(leads=leads, lead_sees_all=sees, apprentices=apprentices)
        changed("set_leads", "set_sees", "set_apprentices")


def _show_who(found: LabSettings) -> None:
    now = kept(case_source.AUTHOR) or None
    here = st.selectbox(
        words.WHO, found.people, found.people.index(now) if now in found.people else None, help=words.WHO_HELP,
        placeholder="", format_func=bare, key="set_who",
    )  # fmt: skip
    if (here or "") != kept(case_source.AUTHOR):
        keep(case_source.AUTHOR, here or "")
        st.rerun()


def show_prices(found: LabSettings, changed: Callable[..., None]) -> None:
    """What a firing, a blank and an hour cost, typed once."""
    st.subheader(words.PRICES, anchor=False)
    prices = found.prices
    fields = (
        (words.PRICE_FIRING, "set_price_firing", _typed(prices.firing), None),
        (words.PRICE_BLANK, "set_price_blank", _typed(prices.blank), None),
        (words.PRICE_HOUR, "set_price_hour", _typed(prices.hour), None),
        (words.CURRENCY, "set_currency", prices.currency or "", words.CURRENCY_HELP),
    )
    with st.container(horizontal=True, vertical_alignment="bottom"):
        firing, blank, hour, currency = (
            st.text_input(label, width=150, help=help_, **keeping(key, now)) for label, key, now, help_ in fields
        )
        if pressed(words.SAVE, needs=LEAD, key="keep prices"):
            case_source.lab().settings.keep_prices(firing=firing, blank=blank, hour=hour, currency=currency)
            changed(*(key for _, key, _, _ in fields))


def _typed(price: float | None) -> str:
    return "" if price is None else typed_as(price)
