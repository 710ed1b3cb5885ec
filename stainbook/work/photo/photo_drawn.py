"""Whether zones were drawn on the picture at hand: inside of it, and not upon its target."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stainbook.errors import InputError
from stainbook.files.scene import Scene
from stainbook.language import filled, say
from stainbook.photo.geometry import overlap, share_inside
from stainbook.photo.picture import Picture

ON_TARGET = 0.2  # share of a zone that may lie on the target: outlines and corners are put by hand
MOSTLY_INSIDE = 0.95  # share of a zone that must lie in the picture: outlines are drawn by hand


def all_inside(scene: Scene, picture: Picture) -> None:
    """Raise InputError for a zone that lies partly outside the picture: it was drawn on another one."""
    for zone in scene.zones:
        share = share_inside(zone.polygon, picture.size)
        if share < MOSTLY_INSIDE:
            width, height = picture.size
            raise InputError(
                filled(
                    _OUTSIDE if share == 0 else _PARTLY_OUTSIDE,
                    source=scene.source,
                    tooth=zone.tooth,
                    zone=zone.zone,
                    picture=picture.source,
                    width=width,
                    height=height,
                )
            )


_OUTSIDE = say(
    "{source}: zone {tooth} {zone} lies outside {picture}, which has {width} x {height} pixels; draw it on this picture"
)
_PARTLY_OUTSIDE = say(
    "{source}: zone {tooth} {zone} lies partly outside {picture}, which has {width} x {height} pixels; draw it on this "
    "picture"
)


def none_on_target(scene: Scene, corners: NDArray[np.float64], picture: Picture) -> None:
    """Raise InputError for a zone upon the target: it was drawn on another picture, whose target lay elsewhere."""
    for zone in scene.zones:
        if overlap(zone.polygon, corners) > ON_TARGET:
            raise InputError(
                say(
                    "{source}: zone {tooth} {zone} lies on the chart of {picture}; draw it on this picture",
                    source=scene.source,
                    tooth=zone.tooth,
                    zone=zone.zone,
                    picture=picture.source,
                )
            )
