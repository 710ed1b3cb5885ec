"""Markup made in Python and shown in one component, so that one style sheet dresses it in either theme.

Markup that is to be chosen from holds elements with ``data-key``; they become one radio group with a
single tab stop. Arrow keys go to the key named in ``data-left`` and so on, else to the next element in
the order written.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import streamlit as st

from stainbook.words.escaping import escape

_HERE = Path(__file__).parent


@cache
def _component() -> Callable[..., Any]:
    return st.components.v2.component(
        "stainbook_markup",
        html='<div class="stainbook"></div>',
        css="".join(
            (_HERE / name).read_text(encoding="utf-8") for name in ("markup.css", "mixing.css", "first_days.css")
        ),
        js=(_HERE / "markup.js").read_text(encoding="utf-8"),
    )


def show_markup(markup: str, *, key: str) -> None:
    """Show trusted markup; whatever comes from a file is escaped in it already."""
    _component()(key=key, data={"markup": markup, "label": None, "chosen": None})


def pick(markup: str, *, label: str, chosen: str | None, key: str, on_pick: Callable[[str], None]) -> None:
    """Show trusted markup and call ``on_pick`` with the key of the element that the user chooses.

    label : what a screen reader calls the group.
    """

    def picked() -> None:
        found = st.session_state[key].get("picked")
        if found is not None:
            on_pick(found)

    _component()(key=key, data={"markup": markup, "label": label, "chosen": chosen}, on_picked_change=picked)


def pick_many(
    markup: str, *, label: str, chosen: Sequence[str], key: str, on_pick: Callable[[list[str]], None]
) -> None:
    """As ``pick``, of which several may be chosen: a tap adds one or takes it off, and all that are chosen are told."""

    def picked() -> None:
        found = st.session_state[key].get("picked")
        if found is not None:
            on_pick(list(found))

    data = {"markup": markup, "label": label, "chosen": None, "many": list(chosen)}
    _component()(key=key, data=data, on_picked_change=picked)


def pick_extending(
    markup: str,
    *,
    label: str,
    chosen: str | None,
    also: Sequence[str],
    more: bool,
    key: str,
    on_pick: Callable[[list[str]], None],
) -> None:
    """As ``pick`` with a choice that can be extended: with shift held, or by every tap where ``more``.

    ``on_pick`` gets all that are chosen, the one chosen last first.
    """

    def picked() -> None:
        found = st.session_state[key].get("picked")
        if found:
            on_pick(list(found))

    data = {"markup": markup, "label": label, "chosen": chosen, "also": list(also), "more": more}
    _component()(key=key, data=data, on_picked_change=picked)


def segments(label: str, options: Mapping[str, str]) -> str:
    """One of few, side by side; ``options`` are words by key."""
    parts = "".join(f'<span class="segment" data-key="{key}">{escape(word)}</span>' for key, word in options.items())
    return f'<p class="label">{escape(label)}</p><div class="segments">{parts}</div>'
