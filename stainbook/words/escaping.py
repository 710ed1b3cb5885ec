"""Texts inside HTML."""

from __future__ import annotations

import html

from stainbook.language import shown


def escape(text: str) -> str:
    """A text as HTML that shows it as it is, in the language that is spoken.

    >>> escape("a < b")
    'a &lt; b'
    """
    return html.escape(shown(text))
