"""Questions about numbers that were typed and are not what was expected of a reading."""

from __future__ import annotations

from stainbook.language import say
from stainbook.words.figures import tenths


def meant(zone: str, typed: str, other: str) -> str:
    """That a slip of the finger would explain the numbers.

    >>> meant("13 cervical", "67.1", "76.1")
    '13 cervical: 67.1, did you mean 76.1?'
    """
    return say("{zone}: {typed}, did you mean {other}?", zone=zone, typed=typed, other=other)


def meant_order(zone: str, other: str) -> str:
    """That the numbers may stand in another order.

    >>> meant_order("13 cervical", "74.0 1.0 16.0")
    '13 cervical: did you mean 74.0 1.0 16.0, the numbers in this order?'
    """
    return say("{zone}: did you mean {other}, the numbers in this order?", zone=zone, other=other)


def far(zone: str, apart: float) -> str:
    """That a reading is far from what was expected and no slip explains it.

    >>> far("13 cervical", 9.12)
    '13 cervical: this is 9.1 ΔE00 from what is expected there. Is it this zone? Read it once more.'
    """
    return say(
        "{zone}: this is {apart} ΔE00 from what is expected there. Is it this zone? Read it once more.",
        zone=zone,
        apart=tenths(apart),
    )


def unlikely(zone: str, tissue: str) -> str:
    """That no piece of that tissue has such a colour.

    >>> unlikely("13 cervical", "tooth")
    '13 cervical: no tooth has such a colour. Is it this zone? Read it once more.'
    """
    if tissue == "gingiva":
        return say("{zone}: no gum has such a colour. Is it this zone? Read it once more.", zone=zone)
    if tissue == "tooth":
        return say("{zone}: no tooth has such a colour. Is it this zone? Read it once more.", zone=zone)
    return say("{zone}: no stripe or disc has such a colour. Is it this one? Read it once more.", zone=zone)
