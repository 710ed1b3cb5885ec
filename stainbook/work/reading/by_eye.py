"""Zones whose number is a hint and the eye decides: the edge and the papillae of a translucent piece.

What lies behind them shows through, and an instrument loses light at their sides.
"""

from __future__ import annotations

from stainbook.kept import Settings

EDGES = ("incisal", "papilla")
TRANSLUCENT = ("disilicate", "glass", "leucite", "feldspar")  # words in the names of such materials; common practice


def is_hint(zone: str, material: str | None, settings: Settings) -> bool:
    """Whether a zone does not count, since its number is a hint; the lab may say that it counts.

    >>> is_hint("incisal", "lithium disilicate", Settings()), is_hint("incisal", "zirconia", Settings())
    (True, False)
    >>> is_hint("incisal", "lithium disilicate", Settings(edges=True))
    False
    """
    shows_through = any(word in (material or "").casefold() for word in TRANSLUCENT)
    return zone in EDGES and shows_through and not settings.edges
