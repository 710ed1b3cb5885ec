"""Rows of three numbers that are typed: Enter goes to the next field, half-typed rows outlive pages and reloads.

What is typed is kept in the session under the rows' name, and in the tab of the browser until it is stored, so that a
reload in the middle loses nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import streamlit as st

from stainbook.faces.reading_types import NOTHING, Three
from stainbook.pages.shell.page_frame import keep, kept
from stainbook.pages.shell.plain import bare

_HERE = Path(__file__).parent
_DROPPED = "dropped_drafts"


class TypedRow(NamedTuple):
    """A row: the key that its numbers are kept under, and its name."""

    key: str
    name: str


class RowGroup(NamedTuple):
    """Rows under a heading."""

    title: str
    rows: Sequence[TypedRow]


@cache
def _component() -> Callable[..., Any]:
    return st.components.v2.component(
        "stainbook_typed_rows",
        html='<div class="typed-rows"></div>',
        css=(_HERE / "typed_rows.css").read_text(encoding="utf-8"),
        js=(_HERE / "typed_rows.js").read_text(encoding="utf-8"),
    )


def typed_in(name: str) -> dict[str, Three]:
    """What stands in rows now, by the key of the row; rows of which nothing was typed are left out."""
    return {key: three for key, three in kept(_key(name), {}).items() if any(one.strip() for one in three)}


def show_rows(name: str, groups: Sequence[RowGroup], wrong: Mapping[str, str] | None = None) -> None:
    """Draw rows to type into.

    name : under which they are kept
    wrong : why a row cannot be used, by its key
    """
    key = f"rows {name}"

    def take() -> None:
        found = st.session_state[key].get("typed")
        if found is not None:
            keep(_key(name), {row: _three(numbers) for row, numbers in found.items()})
            keep(_DROPPED, [one for one in kept(_DROPPED, []) if one != name])

    shown = [{"title": bare(one.title), "rows": [[row.key, bare(row.name)] for row in one.rows]} for one in groups]
    data = {
        "name": name,
        "round": kept(f"round {name}", 0),
        "groups": shown,
        "values": {row: list(three) for row, three in typed_in(name).items()},
        "wrong": {row: bare(why) for row, why in (wrong or {}).items()},
        "drop": kept(_DROPPED, []),
    }
    _component()(key=key, data=data, on_typed_change=take)


def forget_rows(name: str) -> None:
    """Empty rows once they are stored; the browser's copy goes with the next rows or `drop_drafts` that are drawn."""
    keep(_key(name), {})
    keep(f"round {name}", kept(f"round {name}", 0) + 1)
    keep(_DROPPED, [*kept(_DROPPED, []), name])


def drop_drafts() -> None:
    """Let the browser forget its copies of rows that were stored."""
    if kept(_DROPPED, []):
        _component()(key="drop_drafts", data={"drop": kept(_DROPPED, []), "groups": []})


def _key(name: str) -> str:
    return f"typed rows {name}"


def _three(numbers: Sequence[object]) -> Three:
    """What the browser sent as three texts, whatever it was."""
    texts = [str(one)[:40] for one in numbers[:3]] if isinstance(numbers, list) else list(NOTHING)
    L, a, b = (*texts, *NOTHING)[:3]
    return L, a, b
