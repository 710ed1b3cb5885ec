"""Gum measured anew by a second shot of the same scene through a filter, whose own target tells how it sees."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stainbook.colour import tristimulus_weights
from stainbook.errors import InputError
from stainbook.language import say
from stainbook.photo.by_spectrum import Sight, by_spectrum
from stainbook.photo.doubt import Condition
from stainbook.photo.field import LightField
from stainbook.photo.geometry import homography, project
from stainbook.photo.honest import MANY_STRAYS, straying
from stainbook.photo.measure import Outline, PhotoReading, calibrated, radius_of
from stainbook.photo.photo_zones import zone_mean
from stainbook.photo.picture import Picture
from stainbook.photo.target import ColourChart, place_of

Floats = NDArray[np.float64]


NO_FILTER = 0.989  # likeness of two responses: below 0.986 through gels, above 0.993 without one (simulated)


def followed(polygon: ArrayLike, corners: ArrayLike, other: ArrayLike) -> Floats:
    """Give an outline (n, 2) of one picture in another, by the corners (4, 2) of the target in both.

    >>> np.round(followed([[300, 60], [380, 140]], corners, corners + [5, 0]), 6).tolist()
    [[305.0, 60.0], [385.0, 140.0]]
    """
    return project(homography(corners, other), np.asarray(polygon, dtype=np.float64))


def _alike(first: Floats, second: Floats) -> float:
    """How alike two responses (n, 3) are in the channel that differs most: 1 for the same curve at any gain."""
    long = np.linalg.norm(first, axis=0) * np.linalg.norm(second, axis=0)
    return float(((first * second).sum(axis=0) / long).min())


def with_second(
    reading: PhotoReading,
    picture: Picture,
    corners: ArrayLike,
    target: ColourChart,
    outlines: Sequence[Outline],
    tissues: Mapping[str, Sequence[Floats]],
    condition: Condition,
    *,
    illuminant: str,
    observer: int,
    light: LightField | None = None,
) -> PhotoReading:
    """Give the reading with those zones measured by six channels whose kind has models, where that is surer.

    Parameters
    ----------
    reading : of the first shot, its zones in the order of ``outlines``
    picture, corners, outlines : of the second shot
    tissues : reflectances (m, n) by each model of what a kind may be, at the target's wavelengths
    condition : of the first shot

    Raises
    ------
    InputError : for corners that cannot be, a second target that is not as its table has it, and a second shot
        that sees as the first does

    >>> from stainbook.photo.measure import measure
    >>> zones = [Outline("fired tooth", [[310, 70], [370, 70], [370, 130], [310, 130]])]
    >>> seen = {"illuminant": "D65", "observer": 10}
    >>> first = measure(picture, corners, chart, zones, {}, **seen)
    >>> alone = Condition("linear", even=False, tab=False)
    >>> with_second(first, picture, corners, chart, zones, {}, alone, **seen)  # doctest: +ELLIPSIS
    Traceback (most recent call last):
        ...
    stainbook.errors.InputError: picture: the second shot sees colours as the first does; ...
    """
    calibration, patches = calibrated(picture, corners, target, light)
    if straying(patches) >= MANY_STRAYS * len(target.names):
        raise InputError(
            say(
                "{source}: {strays} of {patches} patches of the second shot are unlike the chart's table; check "
                "its corners",
                source=picture.source,
                strays=straying(patches),
                patches=len(target.names),
            )
        )
    weights = tristimulus_weights(target.wavelengths, illuminant=illuminant, observer=observer)
    first = Sight.of(reading.calibration, reading.patches, target)
    second = Sight.of(calibration, patches, target)
    if _alike(first.response, second.response) > NO_FILTER:
        raise InputError(
            say(
                "{source}: the second shot sees colours as the first does; put the filter before lens or lamp",
                source=picture.source,
            )
        )
    zones = []
    for zone, outline in zip(reading.zones, outlines, strict=True):
        models = tissues.get(zone.kind)
        mean = zone_mean(picture, outline.polygon, light, rounded=True)
        if models is None or zone.mean.flagged or mean.flagged:
            zones.append(zone)
            continue
        shots = first.seen(zone.mean, zone.place), second.seen(mean, place_of([mean.centre], corners)[0])
        six = by_spectrum(zone, shots, models, target.wavelengths, weights)
        zones.append(min(six, zone, key=lambda one: radius_of(reading, one, condition)))
    return replace(reading, zones=tuple(zones))
