"""Words for mixes, for commands and pages."""

from __future__ import annotations

from collections.abc import Mapping

from stainbook.match.talk import mix
from stainbook.records import Pot


def parts_of(pot: Mapping[str, float]) -> str:
    """A pot in parts of the whole: ``1 part husk + 7 parts clear``."""
    return mix(Pot.of(dict(pot)))
