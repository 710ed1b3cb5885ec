"""Gum measured anew by a second shot of the same scene through a filter, whose own target tells how it sees."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stainbook.colour import tristimulus_weights
from stainbook.errors import InputError
from stainbook.photo.calibration import PhotoCalibration
from stainbook.photo.camera_response import response_covariances, response_kernels
from stainbook.photo.field import LightField
from stainbook.photo.geometry import homography, project
from stainbook.photo.honest import MANY_STRAYS, straying
from stainbook.photo.measure import Outline, PhotoReading, ZoneColour, calibrated
from stainbook.photo.photo_zones import ZoneMean, zone_mean
from stainbook.photo.picture import Picture
from stainbook.photo.second_shot import LikelyTissue, Seen, by_two_shots
from stainbook.photo.target import ColourChart, PatchReadings, place_of

Floats = NDArray[np.float64]

UNLIKE = 2.5  # standard deviations, from which the two shots do not show one zone of such tissue


def followed(polygon: ArrayLike, corners: ArrayLike, other: ArrayLike) -> Floats:
    """An outline (n, 2) of one picture in another, by the corners (4, 2) of the target in both."""
    return project(homography(corners, other), np.asarray(polygon, dtype=np.float64))


def with_second(
    reading: PhotoReading,
    picture: Picture,
    corners: ArrayLike,
    target: ColourChart,
    outlines: Sequence[Outline],
    families: Mapping[str, Floats],
    *,
    illuminant: str,
    observer: int,
    light: LightField | None = None,
) -> PhotoReading:
    """The reading with those zones measured by six channels whose kind has a family.

    Parameters
    ----------
    reading : of the first shot, its zones in the order of ``outlines``
    picture, corners, outlines : of the second shot
    families : (m, n) float by kind, reflectance factors at the target's wavelengths

    Raises
    ------
    InputError : for corners that cannot be, and a second target that is not as its table has it
    """
    calibration, patches = calibrated(picture, corners, target, light)
    if straying(patches) >= MANY_STRAYS * len(target.names):
        raise InputError(
            f"{picture.source}: {straying(patches)} of {len(target.names)} patches of the second shot are unlike the "
            "target's table; check its corners"
        )
    weights = tristimulus_weights(target.wavelengths, illuminant=illuminant, observer=observer)
    first = _sees(reading.calibration, reading.patches, target)
    second = _sees(calibration, patches, target)
    zones = []
    for zone, outline in zip(reading.zones, outlines, strict=True):
        family = families.get(zone.kind)
        mean = zone_mean(picture, outline.polygon, light)
        if family is None or zone.mean.flagged or mean.flagged:
            zones.append(zone)
            continue
        likely = LikelyTissue.of(family, target.wavelengths)
        place = place_of([mean.centre], corners)[0]
        shots = _seen(zone.mean, zone.place, reading.calibration, first), _seen(mean, place, calibration, second)
        zones.append(_by_six(zone, shots, likely, weights))
    return replace(reading, zones=tuple(zones))


def _by_six(zone: ZoneColour, shots: tuple[Seen, Seen], likely: LikelyTissue, weights: Floats) -> ZoneColour:
    found = by_two_shots(shots, likely, weights)
    if found.strain > UNLIKE:
        return zone
    return replace(zone, lab=found.lab + zone.offset, by_prior=True, six=found.radius)


def _sees(calibration: PhotoCalibration, patches: PatchReadings, target: ColourChart) -> tuple[Floats, Floats]:
    """A shot's response (n, 3) and its covariances (3, n, n)."""
    used = patches.used
    seen = calibration.straighten(patches.rgb[used], patches.places[used])
    left = response_covariances(
        target.reflectance[used], seen, response_kernels(target.wavelengths), noise=target.sure[used]
    )
    return calibration.response.mean, left


def _seen(mean: ZoneMean, place: Floats, calibration: PhotoCalibration, sees: tuple[Floats, Floats]) -> Seen:
    rgb = calibration.straighten(mean.rgb[np.newaxis], place[np.newaxis], on_target=False)[0]
    return Seen(rgb, *sees)
