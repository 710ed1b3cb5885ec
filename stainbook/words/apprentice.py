"""What is said where an apprentice paints: what the limits become, and that somebody checks it before the furnace."""

from __future__ import annotations

from stainbook.language import say

CHECKED_BY = say("Checked by")


def paints(name: str) -> str:
    """Who paints, and by which limits.

    >>> paints("bench-3").partition(":")[0]
    'bench-3 paints as an apprentice'
    """
    return say(
        "{name} paints as an apprentice: fewer layers and coats, one step weaker, and somebody checks it before the "
        "furnace.",
        name=name,
    )


def line_to_sign(name: str) -> str:
    """The line of a sheet that is signed before the furnace.

    >>> line_to_sign("bench-3")
    'Painted by bench-3, checked before the furnace by: ____________________'
    """
    return say("Painted by {name}, checked before the furnace by: ____________________", name=name)


def not_checked(name: str) -> str:
    """Why a firing is not recorded.

    >>> not_checked("bench-3")
    'bench-3 paints as an apprentice: say who checked it before the furnace (checked_by), or nobody'
    """
    return say(
        "{name} paints as an apprentice: say who checked it before the furnace (checked_by), or nobody", name=name
    )
