"""What to mind, at the foot of a page."""

from __future__ import annotations

from collections.abc import Iterable

from stainbook.pages.widgets.markup import show_markup
from stainbook.words.escaping import escape


def show_cautions(lines: Iterable[str]) -> None:
    """Cautions in a line each."""
    listed = "".join(f"<li>{escape(one)}</li>" for one in lines)
    show_markup(f'<ul class="note">{listed}</ul>', key="cautions")
