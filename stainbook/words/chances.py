"""Chances, worded once."""

from __future__ import annotations

from stainbook.language import say, say_n
from stainbook.words.control_words import HELD_BACK

SURE, HARDLY = 0.95, 0.05  # beyond which a tenth would say too much


def chance(value: float | None) -> str:
    """A chance in words, in tenths; close to its ends, the chance that it is more or less than; None as held back.

    Parameters
    ----------
    value : chance, 0 to 1; None while it is held back

    >>> [chance(one) for one in (0.99, 0.81, 0.06, 0.01)]
    ['more than 19 in 20', 'about 8 in 10', 'about 1 in 10', 'less than 1 in 20']
    """
    if value is None:
        return HELD_BACK
    if value > SURE:
        return say("more than 19 in 20")
    if value < HARDLY:
        return say("less than 1 in 20")
    return say("about {tenths} in 10", tenths=min(max(round(10 * value), 1), 9))


def expected_in_tolerance(expected: float, count: int) -> str:
    """How many zones are expected in tolerance.

    Parameters
    ----------
    expected : the sum of the zones' chances
    count : how many zones those are

    >>> expected_in_tolerance(44.3, 59)
    '44 of 59 zones expected in tolerance'
    """
    return say_n(
        "{expected} of {n} zone expected in tolerance",
        "{expected} of {n} zones expected in tolerance",
        count,
        expected=round(expected),
    )
