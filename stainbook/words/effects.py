"""Effects that are drawn by eye, as screens and sheets name them; what a technician called otherwise stays so."""

from __future__ import annotations

from stainbook.language import say

_EFFECTS = {
    "halo": say("halo"),
    "mamelon": say("mamelon"),
    "craze line": say("craze line"),
    "white spot": say("white spot"),
    "translucency": say("translucency"),
    "fissure": say("fissure"),
    "vessel": say("vessel"),
    "mottle": say("mottle"),
}


def effect_name(effect: str) -> str:
    """An effect in words.

    >>> effect_name("craze line"), effect_name("opal tip")
    ('craze line', 'opal tip')
    """
    return _EFFECTS.get(effect, effect)
