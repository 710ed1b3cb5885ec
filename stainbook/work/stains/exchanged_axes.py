"""A stripe whose a* and b* may have been exchanged: it turns the plate towards a hue that its colour family never does.

By family the direction in a*, b* in which stain of it moves a plate: of stripes of three simulated labs, where each
stripe stays within 45 degrees of it; common practice of hues agrees. White and grey move too little to tell.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import atan2, degrees, hypot

from stainbook.errors import InputError, some_of
from stainbook.language import say
from stainbook.records import Chip, LabValues, Reading, Stain
from stainbook.words import slips as words
from stainbook.work.reading.typed_colour import numbers_of, typed_colour
from stainbook.work.reading.typing_slips import Slip, too_red
from stainbook.work.reading.viewing_conditions import Asked

TOWARDS = {
    "yellow": 105.0, "orange": 70.0, "brown": 60.0, "olive": 132.0, "red": 355.0, "pink": 355.0, "violet": 305.0,
    "blue": 265.0,
}  # degrees in a*, b*  # fmt: skip
OFF = 60.0  # degrees beyond which a stripe turns the plate as its family never does
NEAR = 45.0  # degrees within which every stripe of a family lies
SEEN = 4.0  # in a*, b*: a smaller change has no direction worth asking about


def exchanged(lab: LabValues, bare: LabValues, family: str | None) -> bool:
    """Whether a stripe would be one of its family the other way round, and is none as it stands.

    >>> [exchanged(lab, (83.2, -1.1, 8.6), "yellow") for lab in ((78.3, 25.9, -2.2), (78.3, -2.2, 25.9))]
    [True, False]
    """
    towards = TOWARDS.get(family or "")
    a, b = lab[1] - bare[1], lab[2] - bare[2]
    if towards is None or hypot(a, b) < SEEN:
        return False
    return _apart(a, b, towards) > OFF and _apart(lab[2] - bare[1], lab[1] - bare[2], towards) <= NEAR


def _apart(a: float, b: float, towards: float) -> float:
    off = abs(degrees(atan2(b, a)) % 360.0 - towards)
    return min(off, 360.0 - off)


def slip_of_row(
    text: str, asked: Asked, what: str, *, bare: LabValues | None = None, chip: Chip | None = None,
    stains: Mapping[str, Stain] | None = None,
) -> Slip | None:  # fmt: skip
    """The question about three numbers of a stripe, or of a bare plate (``chip`` None); None where they may stand.

    bare : how its plate was read under the same light, where that is known
    """
    typed = numbers_of(text)
    try:
        lab = typed_colour(text, asked, what).lab
    except InputError:  # which is told at its row
        return None
    if lab is None or len(typed) != 3:
        return None
    by_family = chip is not None and bare is not None and exchanged(lab, bare, family_of(chip, stains or {}))
    if not by_family and not (chip is None and too_red(lab)):
        return None
    meant = " ".join((typed[0], typed[2], typed[1]))
    return Slip(words.meant_order(what, meant), meant)


def family_of(chip: Chip, stains: Mapping[str, Stain]) -> str | None:
    """The colour family of the one stain of a stripe; None of a mix and of clear glaze."""
    names = {name for layer in chip.layers for name in layer.pot.stains}
    if len(names) != 1:
        return None
    stain = stains.get(names.pop())
    return stain.family if stain is not None else None


def told_of(chips: Iterable[Chip], readings: Mapping[str, Reading], stains: Mapping[str, Stain]) -> list[str]:
    """A line where stripes that came as a file look exchanged; spectra have no a* and b* to exchange."""
    found = []
    for chip in chips:
        one, bare = readings.get(chip.chip), readings.get(chip.body)
        if one is None or bare is None or one.lab is None or bare.lab is None or one.viewing != bare.viewing:
            continue
        if exchanged(one.lab, bare.lab, family_of(chip, stains)):
            found.append(chip.chip)
    if not found:
        return []
    return [
        say(
            "a* and b* of {stripes} turn the plate as no stain of that colour family does: were the two exchanged?",
            stripes=some_of(found),
        )
    ]
