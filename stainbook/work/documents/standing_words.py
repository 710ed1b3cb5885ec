"""What a zone's colour rests on, in the same words on pages, commands, sheets and in the PDF."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:  # commands name it before they load anything
    from stainbook.work.documents.document_parts import StandingResult


def rests_on(standing: StandingResult | None) -> str:
    """``read 2026-03-02 14:20``, ``like 13 middle``, ``expected, not read``, ``blank reed`` or ``not read``."""
    if standing is None or standing.from_ == "unknown":
        return "not read"
    if standing.from_ == "read":
        at = standing.read_at
        return f"read {at[:16].replace('T', ' ')}" if at else "read"
    if standing.from_ == "like":
        return f"like {standing.of}"
    return "expected, not read" if standing.from_ == "expected" else f"blank {standing.of}"
