"""Words for mixes, for commands and pages."""

from __future__ import annotations

from collections.abc import Mapping

from stainbook.match.talk import mix
from stainbook.records import Pot


def parts_of(pot: Mapping[str, float]) -> str:
    """A pot in parts of the whole: ``1 part husk + 7 parts clear``."""
    return mix(Pot.of(dict(pot)))


def chance_words(chance: float) -> str:
    """A chance as it is said: ``about 8 in 10``."""
    if chance < 0.05:
        return "hardly ever"
    return "nearly always" if chance > 0.95 else f"about {min(max(round(10 * chance), 1), 9)} in 10"
