"""A field for a number with decimals, as people type it: the browser's own number field drops a decimal comma."""

from __future__ import annotations

from typing import Any

from stainbook.faces.reading_types import typed_number
from stainbook.pages.shell.page_frame import keeping


def number_field(
    place: Any, label: str, default: float | None, *, key: str, least: float, most: float, help_: str | None = None
) -> float | None:
    """The number that stands in a field; None where it is empty.

    place : where it is drawn, ``st`` or a column

    Raises InputError for what is no number from ``least`` to ``most``.
    """
    shown = "" if default is None else f"{default:.6g}"
    text = str(place.text_input(label, help=help_, **keeping(key, shown)))
    return typed_number(text, label, least=least, most=most) if text.strip() else None


def needed(found: float | None, default: float) -> float:
    """A number that may not be missing: an empty field means the one that holds."""
    return default if found is None else found
