"""Questions about readings that may stand under another zone's name."""

from __future__ import annotations

from stainbook.language import say
from stainbook.words.figures import tenths


def swapped(one: str, other: str, given: tuple[float, float], crossed: tuple[float, float]) -> str:
    """That two zones look swapped, and what to do.

    >>> swapped("11 middle", "21 middle", (4.14, 3.8), (0.5, 0.7))
    '11 middle and 21 middle: were these readings swapped? They are 4.1 and 3.8 ΔE00 from what was expected, the other \
way round 0.5 and 0.7. Read both again, or correct them.'
    """
    return say(
        "{one} and {other}: were these readings swapped? They are {first} and {second} ΔE00 from what was expected, "
        "the other way round {first_crossed} and {second_crossed}. Read both again, or correct them.",
        one=one,
        other=other,
        first=tenths(given[0]),
        second=tenths(given[1]),
        first_crossed=tenths(crossed[0]),
        second_crossed=tenths(crossed[1]),
    )


def of_another(zone: str, other: str, far: tuple[float, float]) -> str:
    """That a reading may be of another piece.

    >>> of_another("11 middle", "W-1050 21 middle", (6.2, 0.4))
    '11 middle: is this a reading of W-1050 21 middle? It is 6.2 ΔE00 from what was expected, 0.4 from that one as it \
was read last. Read it again, or correct it.'
    """
    return say(
        "{zone}: is this a reading of {other}? It is {far} ΔE00 from what was expected, {near} from that one as it was "
        "read last. Read it again, or correct it.",
        zone=zone,
        other=other,
        far=tenths(far[0]),
        near=tenths(far[1]),
    )
