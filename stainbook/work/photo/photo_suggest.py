"""Outlines on a photo at the desk: suggested for the zones of a case, or grown from a tap."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from stainbook.errors import InputError
from stainbook.language import say
from stainbook.match import UNWATCHED, Watch
from stainbook.photo.rough import Rough, rough
from stainbook.photo.suggest import BANDS, THIRDS, along, grown, suggest, upper
from stainbook.records import TEETH
from stainbook.work.photo.photo_desk import OpenedPhoto, decoded

Points = list[list[float]]


@dataclass(frozen=True, slots=True)
class Outlines:
    """Outlines by ``11 cervical`` in the picture's pixels, and in words what was not done and why."""

    zones: dict[str, Points]
    why: tuple[str, ...] = ()


def wanted_of(teeth: str, known: Iterable[tuple[int, str]]) -> list[tuple[int, str]]:
    """The zones to suggest for teeth typed as ``12 11 21 22``: those that a case has there, else thirds and gum bands.

    Raises InputError for what is no tooth.
    """
    found = [int(word) if word.isdigit() else -1 for word in teeth.replace(",", " ").split()]
    wrong = [word for word, tooth in zip(teeth.replace(",", " ").split(), found, strict=True) if tooth not in TEETH]
    if wrong or not found:
        raise InputError(
            say(
                "found {found}, expected teeth in ISO 3950, such as 12 11 21 22",
                found=wrong[0] if wrong else say("nothing"),
            )
        )
    listed = [key for key in known if key[0] in found]
    return listed or [(tooth, zone) for tooth in found for zone in (*THIRDS, *BANDS)]


def teeth_shown(known: Iterable[tuple[int, str]]) -> str:
    """The teeth of a case that one picture from the front can show, from left to right: those of one jaw."""
    teeth = {tooth for tooth, _ in known}
    jaw = [tooth for tooth in teeth if upper(tooth)] or list(teeth)
    return " ".join(map(str, sorted(jaw, key=along)))


def suggested(
    desk: OpenedPhoto,
    corners: Sequence[Sequence[float]],
    wanted: Sequence[tuple[int, str]],
    *,
    watch: Watch = UNWATCHED,
) -> Outlines:
    """Outlines for zones, only where they are reliable; raises as `tapped`."""
    found = suggest(_view(desk, corners, watch), wanted)
    zones = {f"{tooth} {zone}": _plain(outline) for (tooth, zone), outline in found.zones.items()}
    return Outlines(zones, found.why)


def tapped(
    desk: OpenedPhoto,
    corners: Sequence[Sequence[float]],
    name: str,
    tap: Sequence[float],
    *,
    watch: Watch = UNWATCHED,
) -> Outlines:
    """The outline of what has the colour under a tap.

    Raises InputError for files that cannot be used, StoppedError when ``watch`` is to stop.
    """
    found = grown(_view(desk, corners, watch), np.asarray(tap, dtype=np.float64))
    return Outlines({}, (found,)) if isinstance(found, str) else Outlines({name: _plain(found)})


def _view(desk: OpenedPhoto, corners: Sequence[Sequence[float]], watch: Watch) -> Rough:
    watch.step("outlines", 0, 2)
    picture, target = decoded(desk)
    watch.step("outlines", 1, 2)
    seen = rough(picture, np.asarray(corners, dtype=np.float64), target)
    watch.go_on()
    return seen


def _plain(outline: np.ndarray) -> Points:
    return [[round(float(x), 1), round(float(y), 1)] for x, y in outline]
