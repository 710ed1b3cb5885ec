"""The part of the settings page that a lead of a lab's server has: who may sign in, and what was done there."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

import streamlit as st

from stainbook.faces.account_face import AccountsFace
from stainbook.faces.server_types import LEAD, ROLES
from stainbook.pages.lab import account_texts as words
from stainbook.pages.shell import case_source, wording
from stainbook.pages.shell.page_frame import do, forget, keeping
from stainbook.pages.shell.plain import bare
from stainbook.pages.shell.pressing import pressed
from stainbook.pages.widgets.markup import show_markup
from stainbook.pages.widgets.tables import table
from stainbook.permit import ROLE_WORDS, TECHNICIAN
from stainbook.words.deed_words import deed
from stainbook.words.escaping import escape

_SHOWN = 50  # lines of the list


def show_own_password() -> None:
    """Another password for whoever signed in with one."""
    signed = case_source.signed_in()
    if signed is None or not signed.account.has_password:
        return
    st.subheader(words.OWN, anchor=False)
    old = st.text_input(words.OLD_PASSWORD, type="password", key="own_old", autocomplete="current-password")
    new = st.text_input(
        words.OWN_PASSWORD, type="password", key="own_new", autocomplete="new-password", help=words.PASSWORD_HELP
    )
    st.markdown(words.OWN_ENDS)
    if pressed(words.SET_OWN, key="own password", looks=True):  # never shut: the press itself ends the typing
        do(partial(case_source.lab().accounts().change_own, old, new), cannot=words.CANNOT_OWN)


def show_accounts() -> None:
    """Accounts and the list, to a lead who signed in."""
    permit = case_source.permit()
    if permit is None or not permit.allows(LEAD):
        return
    accounts = case_source.lab().accounts()
    found = accounts.all().accounts
    st.subheader(words.ACCOUNTS, anchor=False)
    rows = [
        (
            escape(one.account),
            escape(ROLE_WORDS[one.role]),
            escape(one.subject or (words.BY_PASSWORD if one.password else "")),
        )
        for one in found
    ]
    show_markup(table(words.HEADS, rows, numbers=(), wide=2), key="accounts")
    known, new = st.columns(2, gap="large")
    with known:
        _change(accounts, {one.account: one.role for one in found})
    with new:
        _add(accounts)
    with st.expander(words.LOG):
        lines = [
            tuple(map(escape, (wording.moment(one.at), deed(one.deed), one.account, one.about, one.address)))
            for one in reversed(accounts.log(_SHOWN).log)
        ]
        show_markup(table(words.LOG_HEADS, lines, numbers=(), wide=3), key="account log")


def _change(accounts: AccountsFace, roles: Mapping[str, str]) -> None:
    name = st.selectbox(words.ACCOUNT, list(roles), format_func=bare, key="account_name")
    role = _role(f"account_role {name}", roles.get(name, TECHNICIAN))  # as it is: one press changes no other's
    password = st.text_input(words.NEW_PASSWORD, type="password", key="account_password", autocomplete="new-password")
    with st.container(horizontal=True):
        if pressed(words.SET_ROLE, key="account set role"):
            do(partial(accounts.set_role, name, role), cannot=words.CANNOT, done=words.DONE)
        if pressed(words.SET_PASSWORD, key="account set password", disabled=not password):
            do(partial(accounts.set_password, name, password), cannot=words.CANNOT, done=words.DONE)
        if pressed(words.REMOVE, key="account remove"):
            do(partial(accounts.remove, name), cannot=words.CANNOT, done=words.DONE)


def _add(accounts: AccountsFace) -> None:
    name = st.text_input(words.NEW_NAME, help=words.NEW_NAME_HELP, **keeping("account_new"))
    role = _role("account_new_role")
    password = st.text_input(
        words.PASSWORD,
        type="password",
        key="account_new_password",
        autocomplete="new-password",
        help=words.PASSWORD_HELP,
    )

    def add() -> None:
        accounts.add(name, role, password=password)
        forget("account_new")

    if pressed(words.ADD, key="account add", disabled=not (name.strip() and password)):
        do(add, cannot=words.CANNOT, done=words.DONE)


def _role(key: str, role: str = TECHNICIAN) -> str:
    at = list(ROLES).index(role)
    return str(st.selectbox(words.ROLE, ROLES, at, format_func=lambda one: bare(ROLE_WORDS[one]), key=key))
