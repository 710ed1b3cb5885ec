"""Readings typed one by one: the zone in large letters, three numbers, the next zone; a key pad where it is touched.

What is typed is kept in the browser until the book holds it, so that a reload loses nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import Path
from typing import Any

import streamlit as st

_HERE = Path(__file__).parent


@dataclass(frozen=True, slots=True)
class ReaderRow:
    """One zone to read: its sample, its name, what to mind, what is expected, what was read."""

    key: str
    name: str
    note: str = ""
    expected: str = ""
    got: str = ""


@dataclass(frozen=True, slots=True)
class TypedEntry:
    """Three numbers as they were typed, and for which zone; ``sure`` where a question about them was answered."""

    id: str
    key: str
    text: str
    sure: bool = False


@cache
def _component() -> Callable[..., Any]:
    return st.components.v2.component(
        "stainbook_reader",
        html='<div class="reader"></div>',
        css=(_HERE / "reader.css").read_text(encoding="utf-8"),
        js=(_HERE / "reader.js").read_text(encoding="utf-8"),
    )


def typed_entries(key: str) -> list[TypedEntry]:
    """What was typed and is not known to be stored."""
    state = st.session_state.get(key) or {}
    found = state.get("typed") or []
    return [TypedEntry(str(one["id"]), str(one["key"]), str(one["text"]), bool(one.get("sure"))) for one in found]


def show_reader(
    rows: Sequence[ReaderRow],
    words: Mapping[str, str],
    *,
    key: str,
    place: str,
    done: Sequence[str],
    go: tuple[int, str],
    answered: Mapping[str, str] | None = None,
) -> None:
    """Show the reader.

    words : what stands on it, in the language that is spoken. place : under which the browser keeps what was typed.
    answered : entries that a question was answered about, by id, as they are meant: the browser keeps them so.
    done : entries that were taken. go : a number that grows with each jump, and the zone to jump to.
    """
    data = {"rows": [asdict(one) for one in rows], "words": dict(words), "place": place, "done": list(done), "go": go}
    data["answered"] = dict(answered or {})
    _component()(key=key, data=data, default={"typed": []}, on_typed_change=lambda: None)


def forget_drafts(places: Sequence[str]) -> None:
    """Let the browser forget what it keeps under some places."""
    _component()(key="forget drafts", data={"forget": list(places), "rows": []})
