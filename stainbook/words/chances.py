"""Chances, worded once."""

from __future__ import annotations

from stainbook.words.control_words import HELD_BACK
from stainbook.words.figures import counted

SURE, HARDLY = 0.95, 0.05  # beyond which a tenth would say too much


def chance(value: float | None) -> str:
    """A chance as it is said; close to its ends as what it is more or less than, None as held back.

    >>> [chance(one) for one in (0.99, 0.81, 0.06, 0.01)]
    ['more than 19 in 20', 'about 8 in 10', 'about 1 in 10', 'less than 1 in 20']
    """
    if value is None:
        return HELD_BACK
    if value > SURE:
        return "more than 19 in 20"
    if value < HARDLY:
        return "less than 1 in 20"
    return f"about {min(max(round(10 * value), 1), 9)} in 10"


def expected_in_tolerance(expected: float, count: int) -> str:
    """``44 of 59 zones expected in tolerance``: the sum of the zones' chances over those that are counted."""
    return f"{round(expected)} of {counted(count, 'zone')} expected in tolerance"
