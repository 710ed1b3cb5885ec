"""A field for a name: one of those that the lab has, or a new one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from stainbook.pages.shell.page_frame import keeping, kept


def name_field(
    place: Any, label: str, known: Sequence[str], key: str, default: str | None = None, help_: str | None = None
) -> str | None:
    """One of the names that the lab has, or a new one; None where it is left empty."""
    now = kept(key, default)
    options = list(dict.fromkeys([*known, *([now] if now else [])]))
    found = place.selectbox(
        label, options, index=None, accept_new_options=True, placeholder="", help=help_, **keeping(key, default)
    )
    return (found or "").strip() or None
