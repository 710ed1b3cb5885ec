"""The guide as Markdown, one file a page: shipped, shown on the app's help page, linked from README."""

from __future__ import annotations

from pathlib import Path

PAGES = {
    "first_day": "The first day",
    "stripes": "Stripes and discs: what the stains do",
    "case": "A case, from unsintered to delivered",
    "photo": "Colours from a photo",
    "shared_book": "The shared book, its copies and the drill",
    "commands": "Commands",
    "formats": "Files, with every key",
    "glossary": "Words",
    "results": "How close it comes: results with their commands",
    "decisions": "Decisions, and what was tried",
    "changes": "What changed",
}  # file: title, in the order in which they are read


def page(name: str) -> str:
    """The Markdown of a page of the guide.

    Raises
    ------
    KeyError
        For a name that is none of `PAGES`.

    >>> page("first_day").splitlines()[0]
    '# The first day'
    """
    if name not in PAGES:
        raise KeyError(f"found the page {name!r}, expected one of {', '.join(PAGES)}")
    return (Path(__file__).parent / f"{name}.md").read_text(encoding="utf-8")
