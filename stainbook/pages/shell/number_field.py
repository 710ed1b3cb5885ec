"""A field for a number with decimals, as people type it: the browser's own number field drops a decimal comma."""

from __future__ import annotations

from typing import Any

from stainbook.faces.reading_types import typed_number
from stainbook.language import number_signs
from stainbook.pages.shell.page_frame import keeping


def number_field(
    place: Any, label: str, default: float | None, *, key: str, least: float, most: float, help_: str | None = None
) -> float | None:
    """The number that stands in a field; None where it is empty.

    place : where it is drawn, ``st`` or a column

    Raises InputError for what is no number from ``least`` to ``most``.
    """
    text = str(place.text_input(label, help=help_, **keeping(key, "" if default is None else typed_as(default))))
    return typed_number(text, label, least=least, most=most) if text.strip() else None


def typed_as(number: float) -> str:
    """A number as somebody who speaks the language types it."""
    return f"{number:.6g}".replace(".", number_signs()[0])


def needed(found: float | None, default: float) -> float:
    """A number that may not be missing: an empty field means the one that holds."""
    return default if found is None else found
