"""Teeth that are called by other numbers, in words."""

from __future__ import annotations

from collections.abc import Mapping

from stainbook.language import joined, say


def called(teeth: Mapping[int, int]) -> str:
    """Which teeth are called otherwise.

    >>> called({12: 11})
    'tooth 12 is 11'
    """
    return joined(say("tooth {wrong} is {right}", wrong=old, right=new) for old, new in teeth.items())
