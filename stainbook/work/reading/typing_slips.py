"""Numbers typed for one reading: a slip of the finger is asked about before it is stored.

A reading that is far from what is expected is asked about. Where one slip explains it (two digits exchanged, the
decimal mark lost or moved, a sign lost, the numbers in another order), what was meant is offered.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import permutations

import numpy as np

from stainbook.colour import delta_e_2000
from stainbook.errors import InputError
from stainbook.language import say
from stainbook.records import UNKNOWN_VIEWING, Reading, Viewing
from stainbook.words import slips as words
from stainbook.work.reading.typed_colour import numbers_of, typed_colour
from stainbook.work.reading.viewing_conditions import Asked

Lab = tuple[float, float, float]

FAR = 5.0  # ΔE00 from what is expected beyond which a reading is asked about, where the doubt is small
UNEXPLAINED = 2.0  # times the radius that holds 9 in 10: beyond it a reading is asked about though no slip explains it
NEAR = 0.5  # of the distance as typed, within which a slip explains it
AGREE = 1.0  # ΔE00 between a reading and the one before it at the same place: it was read twice
# L*, a*, b* of pieces and living tissue, least and most: common practice, wide on purpose
POSSIBLE = {
    "tooth": ((40.0, -8.0, -8.0), (98.0, 14.0, 45.0)),
    "gingiva": ((20.0, 0.0, -6.0), (80.0, 45.0, 40.0)),
    "sample": ((10.0, -50.0, -60.0), (100.0, 60.0, 80.0)),  # a stripe or disc, of any stain
}


REDDER = 4.0  # by how much a* of a tooth is above b* at most: teeth are yellow before they are red; common practice
LIGHTEST = 100.0  # L* of white: above it stands no colour


@dataclass(frozen=True, slots=True)
class ExpectedReading:
    """What a zone is expected to be read as: L*, a*, b*, and the radius in ΔE00 that holds 9 in 10."""

    lab: Lab
    radius: float = 0.0
    viewing: Viewing = UNKNOWN_VIEWING


@dataclass(frozen=True, slots=True)
class Slip:
    """A question about typed numbers; ``meant`` are those that a slip would explain, as they would be typed.

    ``never`` : they are no colour at all, so that nobody can say that they are right
    """

    question: str
    meant: str | None = None
    never: bool = False


def typed_reading(
    text: str, asked: Asked, what: str, *, tissue: str, expected: ExpectedReading | None = None, sure: bool = False
) -> Slip | Reading:
    """Three numbers as a reading that is called ``what``, or the question about them that comes first.

    sure : it is so, whatever was expected. Raises InputError for what is no colour.

    >>> typed_reading("72,4 1,2 15,0", Asked("D65", 10), "11 middle", tissue="tooth").lab
    (72.4, 1.2, 15.0)
    """
    typed = numbers_of(text)
    if len(typed) != 3:
        raise InputError(
            say("{zone}: found {found}, expected L*, a*, b*, such as 72,4 1,2 15,0", zone=what, found=text.strip())
        )
    slip = None if sure else slip_of(what, tissue, typed, expected)
    return slip if slip is not None else typed_colour(" ".join(typed), asked, what)


def slip_of(zone: str, tissue: str, typed: tuple[str, ...], expected: ExpectedReading | None) -> Slip | None:
    """The question about three numbers as they were typed; None where they may stand.

    >>> slip_of("13 cervical", "tooth", ("67.1", "1.2", "16.0"), ExpectedReading((75.8, 1.0, 16.4))).meant
    '76.1 1.2 16.0'
    """
    lab = _lab(typed)
    near = max(FAR, expected.radius) if expected is not None else 0.0
    apart, possible = _apart(lab, expected), _possible(lab, tissue)
    if possible and apart <= near:
        return None
    never = not 0.0 <= lab[0] <= LIGHTEST
    best = min(
        (
            (_apart(_lab(other), expected), place, other, changed)
            for place, (other, changed) in enumerate(_slips(typed, exchanged=tissue == "tooth" and too_red(lab)))
            if _possible(_lab(other), tissue)
        ),
        default=None,
    )
    if best is not None and (expected is None or best[0] <= min(near, NEAR * apart)):
        _, _, other, changed = best
        said = " ".join(other)
        if changed is None:
            return Slip(words.meant_order(zone, said), said, never)
        return Slip(words.meant(zone, typed[changed], other[changed]), said, never)
    if not possible:
        return Slip(words.unlikely(zone, tissue), never=never)
    surely = expected is not None and apart > max(FAR, UNEXPLAINED * expected.radius)
    return Slip(words.far(zone, apart)) if surely else None


def typed_target(text: str, asked: Asked, what: str, *, tissue: str) -> Reading:
    """Three numbers as a colour that a zone is to have.

    Raises InputError for what is no colour, and for a tooth that would be red, with what was meant: there is nothing
    beside which it could be asked about.

    >>> typed_target("69,7 21,4 1,4", Asked("D65", 10), "target", tissue="tooth")
    Traceback (most recent call last):
    stainbook.errors.InputError: target: did you mean 69,7 1,4 21,4, the numbers in this order?
    """
    typed = numbers_of(text)
    slip = slip_of(what, tissue, typed, None) if len(typed) == 3 else None
    if slip is not None and slip.meant is not None and (slip.never or (tissue == "tooth" and too_red(_lab(typed)))):
        raise InputError(slip.question)
    return typed_colour(text, asked, what)


def same_again(first: str, second: str) -> bool:
    """Whether a place was read twice alike: then it is so, whatever was expected."""
    both = numbers_of(first), numbers_of(second)
    return all(len(one) == 3 for one in both) and _apart(_lab(both[0]), ExpectedReading(_lab(both[1]))) <= AGREE


def _lab(typed: tuple[str, ...]) -> Lab:
    L, a, b = (float(one.replace(",", ".").replace("\N{MINUS SIGN}", "-")) for one in typed)
    return L, a, b


def _apart(lab: Lab, expected: ExpectedReading | None) -> float:
    return float(delta_e_2000(np.array(lab), np.array(expected.lab))) if expected is not None else 0.0


def _possible(lab: Lab, tissue: str) -> bool:
    low, high = POSSIBLE[tissue]
    if tissue == "tooth" and too_red(lab):
        return False
    return all(least <= one <= most for least, one, most in zip(low, lab, high, strict=True))


def too_red(lab: Lab) -> bool:
    """Whether no tooth is so: a* stands well above b*, as where the two were exchanged."""
    return lab[1] - lab[2] > REDDER


def _slips(typed: tuple[str, ...], *, exchanged: bool = False) -> Iterator[tuple[tuple[str, ...], int | None]]:
    """What could have been meant, one slip each, and which number it changes; None for all.

    exchanged : a* and b* first, where that is the likeliest
    """
    if exchanged:
        yield (typed[0], typed[2], typed[1]), None
    for place, one in enumerate(typed):
        for other in dict.fromkeys(_other_numbers(one)):
            yield (*typed[:place], other, *typed[place + 1 :]), place
    yield from ((order, None) for order in permutations(typed) if order != typed)


def _other_numbers(typed: str) -> Iterator[str]:
    sign, size = ("-", typed[1:]) if typed[0] in "-\N{MINUS SIGN}" else ("", typed.lstrip("+"))
    mark = next((one for one in size if one in ".,"), "")
    digits = size.replace(mark, "") if mark else size
    at = size.index(mark) if mark else len(digits)
    for place in range(len(digits) - 1):
        swapped = digits[:place] + digits[place + 1] + digits[place] + digits[place + 2 :]
        yield sign + _marked(swapped, at, mark)
    for other in range(1, len(digits)):
        if other != at:
            yield sign + _marked(digits, other, mark or ".")
    yield size if sign else f"-{size}"


def _marked(digits: str, at: int, mark: str) -> str:
    return f"{digits[:at]}{mark}{digits[at:]}" if mark and at < len(digits) else digits
