"""Chances, worded once."""

from __future__ import annotations

from stainbook.language import say, say_n

SURE, HARDLY = 0.95, 0.05  # beyond which a tenth would say too much


def chance(value: float) -> str:
    """A chance as it is said; close to its ends as what it is more or less than.

    >>> [chance(one) for one in (0.99, 0.81, 0.06, 0.01)]
    ['more than 19 in 20', 'about 8 in 10', 'about 1 in 10', 'less than 1 in 20']
    """
    if value > SURE:
        return say("more than 19 in 20")
    if value < HARDLY:
        return say("less than 1 in 20")
    return say("about {tenths} in 10", tenths=min(max(round(10 * value), 1), 9))


def expected_in_tolerance(expected: float, count: int) -> str:
    """``44 of 59 zones expected in tolerance``: the sum of the zones' chances over those that are counted."""
    return say_n(
        "{expected} of {n} zone expected in tolerance",
        "{expected} of {n} zones expected in tolerance",
        count,
        expected=round(expected),
    )
