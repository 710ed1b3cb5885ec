"""What a test shot is worth: its exposure, focus, glare and light, each as good, to be mended, or not known."""

from __future__ import annotations

from typing import NamedTuple

from stainbook.photo.shot_check import ShotCheck

WHITE = (0.4, 0.9)  # linear, of the lightest patch
MOST_CLIPPED = 0.002  # of the picture
MOST_BLUR = 0.12  # of a patch's width: twice that reaches into what is read of it
MOST_UNEVEN = 1.35  # brightest over darkest


class Judged(NamedTuple):
    """A topic, how it came out (``good`` is None where it is not known), and the figures that say so."""

    topic: str  # target, exposure, focus, glare, frame or light
    case: str
    good: bool | None
    share: float = 0.0
    patches: int = 0


def judged_shot(check: ShotCheck) -> list[Judged]:
    """The topics of a check in the order in which they are mended."""
    return [*_by_target(check), _glare(check), _light(check)]


def _by_target(check: ShotCheck) -> list[Judged]:
    if check.white is None:
        return [Judged("target", "unknown", None)]
    low, high = WHITE
    case = "dark" if check.white < low else "bright" if check.white > high else "good"
    blur = 1.0 if check.blur is None else check.blur
    sharp = blur <= MOST_BLUR
    return [
        Judged("exposure", case, case == "good", check.white),
        Judged("focus", "good" if sharp else "soft", sharp, blur),
    ]


def _glare(check: ShotCheck) -> Judged:
    shines = check.clipped > MOST_CLIPPED or check.glints > 0
    return Judged("glare", "shines" if shines else "good", not shines, check.clipped, check.glints)


def _light(check: ShotCheck) -> Judged:
    if check.uneven is None:
        return Judged("frame", "unknown", None)
    even = check.uneven <= MOST_UNEVEN
    return Judged("light", "good" if even else "uneven", even, check.uneven - 1.0)
