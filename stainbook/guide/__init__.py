"""The guide as Markdown, one file a page: shipped, shown on the app's help page, linked from README."""

from __future__ import annotations

from pathlib import Path

from stainbook.language import say

PAGES = {
    "first_day": say("The first day"),
    "stripes": say("Stripes and discs: what the stains do"),
    "case": say("A case, from unsintered to delivered"),
    "photo": say("Colours from a photo"),
    "shared_book": say("The shared book, its copies and the drill"),
    "server": say("A lab's server"),
    "commands": say("Commands"),
    "formats": say("Files, with every key"),
    "glossary": say("Words"),
    "results": say("How close it comes: results with their commands"),
    "decisions": say("Decisions, and what was tried"),
    "changes": say("What changed"),
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
