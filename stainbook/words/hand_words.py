"""What is told of a hand that scatters more than is usual."""

from __future__ import annotations

from stainbook.language import say


def wild(scatter: float) -> str:
    """That few stripes tell a wild hand too low.

    >>> wild(0.24)
    'the technician who painted the stripes scatters by 24 % a coat or more, twice as much as is usual; few stripes \
show too little of that, so the 9-in-10 radius holds some 8 in 10 until outcomes are recorded'
    """
    return say(
        "the technician who painted the stripes scatters by {scatter:.0f} % a coat or more, twice as much as is usual; "
        "few stripes show too little of that, so the 9-in-10 radius holds some 8 in 10 until outcomes are recorded",
        scatter=100.0 * scatter,
    )
