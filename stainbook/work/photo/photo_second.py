"""The second shot of a scene, through a filter: gum measured by six channels where both show it well."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from stainbook.errors import InputError
from stainbook.files.scene import Scene, SecondShot
from stainbook.language import joined, say
from stainbook.photo.decode import read_picture
from stainbook.photo.detect import find_target
from stainbook.photo.doubt import Condition
from stainbook.photo.field import LightField
from stainbook.photo.judge import settled
from stainbook.photo.measure import Outline, PhotoReading
from stainbook.photo.measure_two import followed, with_second
from stainbook.photo.picture import Picture
from stainbook.photo.target import ColourChart
from stainbook.records import Viewing

Floats = NDArray[np.float64]


class ByTwo(NamedTuple):
    """The reading with its gum measured by both shots, in words how, and what must be said."""

    reading: PhotoReading
    method: str
    warnings: tuple[str, ...]


def by_second(
    scene: Scene,
    reading: PhotoReading,
    corners: Floats,
    target: ColourChart,
    known: Mapping[str, Floats],
    tissues: Mapping[str, Sequence[Floats]],
    condition: Condition,
    viewing: Viewing,
    light: LightField | None,
) -> ByTwo | None:
    """Measure a scene's gum by its second shot too; None where it names none.

    corners : (4, 2) float, of the target in the first picture
    known, tissues : likely reflectances by kind, and by kind and model

    Raises
    ------
    InputError : for a second picture that cannot be used, and a target that tells nothing of colour
    """
    second = scene.second
    if second is None:
        return None
    if target.grey_only:
        raise InputError(
            say("{source}: a second shot needs a colour chart in both pictures, found greys alone", source=scene.source)
        )
    picture = read_picture(second.image, encoding=scene.encoding)
    there = _corners(second, picture, target, scene)
    picture, _, misstated = settled(picture, there, target)
    fired = {kind: (curves,) for kind, curves in known.items() if kind == "fired gum"}
    found = with_second(
        reading,
        picture,
        there,
        target,
        _outlines(scene, second, reading, corners, there),
        {**fired, **tissues},
        condition,
        illuminant=viewing.illuminant,
        observer=viewing.observer,
        light=light if light is not None and picture.size == light.size else None,
    )
    gum = [(zone, one) for zone, one in zip(scene.zones, found.zones, strict=True) if one.kind.endswith("gum")]
    alone = [f"{zone.tooth} {zone.zone}" for zone, one in gum if one.six is None]
    lines = [misstated] if misstated else []
    if alone:
        lines.append(
            say(
                "by the first shot alone, the second shows them under glare or otherwise: {zones}",
                zones=joined(alone),
            )
        )
    return ByTwo(found, say("gum by a second shot, filter {filter}: six channels", filter=second.filter), tuple(lines))


def _corners(second: SecondShot, picture: Picture, target: ColourChart, scene: Scene) -> Floats:
    if second.corners is not None:
        return np.asarray(second.corners, dtype=np.float64)
    found = find_target(picture, target)
    if found is None:
        raise InputError(
            say(
                "{image}: the chart was not found in the second shot; take it with the whole chart in it, "
                "or give its corners under second: in {source}, TL, TR, BR, BL as its table is ordered",
                image=second.image,
                source=scene.source,
            )
        )
    return found.corners


def _outlines(scene: Scene, second: SecondShot, reading: PhotoReading, corners: Floats, there: Floats) -> list[Outline]:
    """The zones in the second picture: as drawn on it, else where the target's plane takes them."""
    drawn = {(zone.tooth, zone.zone): zone.polygon for zone in second.zones}
    outlines = []
    for zone, found in zip(scene.zones, reading.zones, strict=True):
        polygon = drawn.get((zone.tooth, zone.zone))
        place = np.asarray(polygon) if polygon is not None else followed(zone.polygon, corners, there)
        outlines.append(Outline(found.kind, place))
    return outlines
