"""A photo's result in one sentence: which sentence, and its figures."""

from __future__ import annotations

from typing import NamedTuple

from stainbook.work.documents.photo_schemas import PhotoResult


class PhotoSummary(NamedTuple):
    """``case`` is refused, glare, changed, graded or colours; counts of zones; the most doubt of a colour."""

    case: str
    zones: int
    good: int = 0
    bad: int = 0
    unsure: int = 0
    high: float = 0.0


def summary_of(result: PhotoResult) -> PhotoSummary:
    """What matters most: that it is not to be used, else what changed, else how it stands to the targets."""
    zones = [zone for zone in result.zones if not zone.flagged]
    if result.reference.troubles:
        return PhotoSummary("refused", len(zones))
    if not zones:
        return PhotoSummary("glare", 0)
    changes = [zone.change for zone in zones if zone.change]
    if changes:
        sure = sum(one.dE00 > one.u for one in changes)
        return PhotoSummary("changed", len(changes), bad=sure, unsure=len(changes) - sure)
    grades = [zone.gap.grade for zone in zones if zone.gap]
    if grades:
        good, bad = grades.count("within"), grades.count("beyond")
        return PhotoSummary("graded", len(grades), good, bad, len(grades) - good - bad)
    return PhotoSummary("colours", len(zones), high=max(zone.u for zone in zones))
