"""What may have happened to a stripe that contradicts the others."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stainbook.language import say

if TYPE_CHECKING:  # data alone: nothing of the engine is loaded for its words
    from stainbook.optics.leave_out import LikelyReason


def contradiction(likely: LikelyReason) -> str:
    """What to look for first.

    >>> from stainbook.optics.leave_out import LikelyReason
    >>> contradiction(LikelyReason("swapped", "peat-1of4"))
    'label swapped with peat-1of4?'
    """
    if likely.what == "swapped":
        return say("label swapped with {stripe}?", stripe=likely.other)
    if likely.what == "unstained":
        return say("reads like the bare plate: not painted or not fired?")
    return say("wrong sample read, or another instrument?")
