"""Outlines on a photo at the desk: suggested for the zones of a case, or grown from a tap."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from stainbook.photo.rough import Rough, rough
from stainbook.photo.suggest import grown, suggest
from stainbook.work.photo_desk import Desk, decoded

Points = list[list[float]]


@dataclass(frozen=True, slots=True)
class Outlines:
    """Outlines by ``11 cervical`` in the picture's pixels, and in words what was not done and why."""

    zones: dict[str, Points]
    why: tuple[str, ...] = ()


def suggested(desk: Desk, corners: Sequence[Sequence[float]], wanted: Sequence[tuple[int, str]]) -> Outlines:
    """Outlines for zones, only where they are reliable; raises InputError for files that cannot be used."""
    found = suggest(_view(desk, corners), wanted)
    zones = {f"{tooth} {zone}": _plain(outline) for (tooth, zone), outline in found.zones.items()}
    return Outlines(zones, found.why)


def tapped(desk: Desk, corners: Sequence[Sequence[float]], name: str, tap: Sequence[float]) -> Outlines:
    """The outline of what has the colour under a tap; raises InputError for files that cannot be used."""
    found = grown(_view(desk, corners), np.asarray(tap, dtype=np.float64))
    return Outlines({}, (found,)) if isinstance(found, str) else Outlines({name: _plain(found)})


def _view(desk: Desk, corners: Sequence[Sequence[float]]) -> Rough:
    with tempfile.TemporaryDirectory() as place:
        picture, target = decoded(Path(place), desk)
    return rough(picture, np.asarray(corners, dtype=np.float64), target)


def _plain(outline: np.ndarray) -> Points:
    return [[round(float(x), 1), round(float(y), 1)] for x, y in outline]
