"""From a picture with a target to the colours of its zones."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stainbook.colour import delta_e_2000, tristimulus_weights, xyz_to_lab
from stainbook.errors import InputError
from stainbook.language import say
from stainbook.photo.assumed import assumed_response
from stainbook.photo.by_spectrum import Sight, by_spectrum
from stainbook.photo.calibration import PhotoCalibration, calibrate
from stainbook.photo.camera_response import left_out_miss, response_kernels
from stainbook.photo.correct import fit_matrix, left_out_lab, zone_values
from stainbook.photo.doubt import Condition, radius_kind, zone_radius
from stainbook.photo.examine import Examination, ZoneSigns, examine
from stainbook.photo.expected import about
from stainbook.photo.field import LightField
from stainbook.photo.honest import (
    refuse_colours,
    refuse_greys,
    refuse_lights,
    refuse_patches,
    refuse_table,
    straying,
    troubles,
)
from stainbook.photo.photo_zones import ZoneMean, zone_mean
from stainbook.photo.picture import Picture
from stainbook.photo.tabs import tab_offset
from stainbook.photo.target import ColourChart, PatchReadings, place_of, read_patches, without_worst
from stainbook.records import LIGHTEST, MOST_CHROMATIC

Floats = NDArray[np.float64]

UNEXPECTED = 3.0  # ΔE*ab to what was expected or its like, from which something else is there
WHITEST = 100.0  # L* of the perfect diffuser
FEWEST_COLOURS = 8  # patches of a chart, below which a matrix is a guess


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """Where to measure (n, 2) in pixels; ``kind`` chooses among the priors.

    ``expected`` (31,) is the reflectance factor expected of this very place, at the target's wavelengths: where the
    zone is like it, it is the prior.
    """

    kind: str
    polygon: ArrayLike
    expected: ArrayLike | None = None


@dataclass(frozen=True, slots=True, eq=False)
class ZoneColour:
    """L*, a*, b* (3,) of an outline, how its pixels were chosen, whether its prior was used, and if it is as expected.

    ``matrix`` (3, 3) took its RGB, straightened at ``place`` (2,), to tristimulus values; ``offset`` (3,) is the tabs'.
    """

    kind: str
    mean: ZoneMean
    lab: Floats
    by_prior: bool
    matrix: Floats
    place: Floats
    offset: Floats
    as_expected: bool | None = None  # None where nothing was expected of it
    six: float | None = None  # ΔE00 radius of what two shots leave open, where the zone was measured by both
    signs: ZoneSigns | None = None  # what the target tells of the light here; None of greys, which tell too little


@dataclass(frozen=True, slots=True, eq=False)
class PhotoReading:
    """What one picture tells: zones in the order asked for, and how well the target and the tabs were met."""

    zones: tuple[ZoneColour, ...]
    calibration: PhotoCalibration
    patches: PatchReadings
    fit: Floats  # ΔE00 (used,) of the patches, each in the fit
    left_out: Floats  # and each left out of it; empty when only greys were seen
    closure: float | None = None  # ΔE00 of the tabs before they were used
    examination: Examination | None = None
    troubles: tuple[str, ...] = ()  # what must be said of the target; with any of it nothing is to be stored


def radius_of(reading: PhotoReading, zone: ZoneColour, condition: Condition) -> float:
    """Give the 95 % radius in ΔE00 of a zone of a reading, taken under a condition.

    >>> corner = [[310, 70], [370, 70], [370, 130], [310, 130]]
    >>> seen = measure(picture, corners, chart, [Outline("unknown", corner)], {}, illuminant="D65", observer=10)
    >>> round(radius_of(seen, seen.zones[0], Condition("linear", even=False, tab=False)), 1)
    3.6
    """
    return zone_radius(
        radius_kind(zone.kind, by_prior=zone.by_prior),
        condition,
        masked=zone.mean.masked,
        closure=reading.closure,
        left_out=float(np.median(reading.left_out)) if reading.left_out.size else None,
        flagged=zone.mean.flagged,
        signs=zone.signs,
        six=zone.six,
        strain=reading.examination.strain if reading.examination else 0.0,
        strays=straying(reading.patches) / len(reading.patches.used),
        uneven=zone.mean.uneven,
    )


def measure(
    picture: Picture,
    corners: ArrayLike,
    target: ColourChart,
    outlines: Sequence[Outline],
    priors: Mapping[str, Floats],
    *,
    illuminant: str,
    observer: int,
    light: LightField | None = None,
    tabs: Sequence[tuple[Outline, Floats]] = (),
    tissues: Mapping[str, Sequence[Floats]] | None = None,
) -> PhotoReading:
    """Give the colours of outlines, each kind with its likely reflectances where ``priors`` has any.

    Parameters
    ----------
    corners : (4, 2) float, pixels, of the target's grid: TL, TR, BR, BL
    priors : (m, n) float by kind, reflectance factors at the target's wavelengths
    light : the light by a grey frame
    tabs : outlines of known L*, a*, b* (3,) under that light and observer
    tissues : reflectances (m, n) by each model of a tissue, by kind: such zones go by their likely spectrum

    Raises
    ------
    InputError : for corners that cannot be, too few patches that can be used, a target that is not met by what its
        table says, and colours that no surface has

    >>> from stainbook.colour import spectrum_to_lab
    >>> zone = Outline("unknown", [[310, 70], [370, 70], [370, 130], [310, 130]])
    >>> found = measure(picture, corners, chart, [zone], {}, illuminant="D65", observer=10)
    >>> np.round(found.zones[0].lab, 1), np.round(spectrum_to_lab(square, nm, illuminant="D65", observer=10), 1)
    (array([72.3,  3.8, 15.2]), array([72.2,  3.7, 16. ]))
    """
    weights = tristimulus_weights(target.wavelengths, illuminant=illuminant, observer=observer)
    refuse_table(target, picture.source)
    calibration, patches = calibrated(picture, corners, target, light)
    rgb = calibration.straighten(patches.rgb[patches.used], patches.places[patches.used])
    chart = rgb, target.reflectance[patches.used] @ weights
    fit, left_out = _met(*chart, weights.sum(axis=0), grey_only=target.grey_only)
    refuse_patches(patches, target, left_out, picture.source)
    if target.grey_only:
        refuse_greys(picture, patches, target)
    asked = [*outlines, *(outline for outline, _ in tabs)]
    found = _colours(
        picture, corners, asked, priors, calibration, chart, weights, light, chart_tells=not target.grey_only
    )
    zones, references = found[: len(outlines)], found[len(outlines) :]
    examination = None
    if not target.grey_only:
        sight = Sight.of(calibration, patches, target)
        zones = [_by_tissue(zone, sight, (tissues or {}).get(zone.kind), target.wavelengths, weights) for zone in zones]
        examination = examine(picture, corners, target, patches, calibration, even=light is not None)
        zones = [_signed(zone, calibration, examination, weights.sum(axis=0)) for zone in zones]
    signs = [zone.signs for zone in zones if zone.signs is not None]
    if examination is not None:
        refuse_lights(examination, signs, picture.source, tab=bool(tabs))
    said = troubles(patches, target, left_out, examination, signs, tab=bool(tabs))
    reading = PhotoReading(tuple(zones), calibration, patches, fit, left_out, examination=examination, troubles=said)
    anchored = _anchored(reading, references, [lab for _, lab in tabs], grey_only=target.grey_only)
    return replace(anchored, zones=tuple(_possible(zone, picture.source) for zone in anchored.zones))


def _by_tissue(
    zone: ZoneColour, sight: Sight, models: Sequence[Floats] | None, wavelengths: Floats, weights: Floats
) -> ZoneColour:
    if models is None or zone.mean.flagged or zone.as_expected:
        return zone
    return by_spectrum(zone, [sight.seen(zone.mean, zone.place)], models, wavelengths, weights)


def _signed(zone: ZoneColour, calibration: PhotoCalibration, examination: Examination, white: Floats) -> ZoneColour:
    if not np.isfinite(zone.lab).all():
        return zone
    rgb = calibration.straighten(zone.mean.rgb[np.newaxis], zone.place[np.newaxis], on_target=False)[0]
    return replace(zone, signs=examination.at(zone.place, rgb, zone.matrix, white))


def _possible(zone: ZoneColour, source: str) -> ZoneColour:
    """The zone where its colour is one that a surface may have; under glare, which is not to be used, held to that.

    Raises
    ------
    InputError : for any other colour
    """
    if zone.mean.flagged:
        most = [LIGHTEST, MOST_CHROMATIC, MOST_CHROMATIC]
        return replace(zone, lab=np.clip(zone.lab, [0.0, -MOST_CHROMATIC, -MOST_CHROMATIC], most))
    refuse_colours(zone.lab, source)
    # whiter than any piece: light that was cut off and scaled after
    return replace(zone, mean=replace(zone.mean, masked=1.0)) if zone.lab[0] > WHITEST else zone


def _colours(
    picture: Picture,
    corners: ArrayLike,
    outlines: Sequence[Outline],
    priors: Mapping[str, Floats],
    calibration: PhotoCalibration,
    chart: tuple[Floats, Floats],
    weights: Floats,
    light: LightField | None,
    *,
    chart_tells: bool,
) -> list[ZoneColour]:
    if not outlines:
        return []
    white = weights.sum(axis=0)
    means = [zone_mean(picture, outline.polygon, light, rounded=True) for outline in outlines]
    places = place_of([mean.centre for mean in means], corners)
    rgb = calibration.straighten(np.array([mean.rgb for mean in means]), places, on_target=False)
    lab, matrix = np.full((len(means), 3), np.nan), np.full((len(means), 3, 3), np.nan)
    by_prior = np.zeros(len(means), dtype=bool)
    for kind in dict.fromkeys(outline.kind for outline in outlines):
        chosen = np.array([outline.kind == kind for outline in outlines])
        known = priors.get(kind)
        prior = None if known is None else (calibration.response.rgb(known), known @ weights)
        values = zone_values(rgb[chosen], white, prior, chart, chart_tells=chart_tells)
        lab[chosen], by_prior[chosen] = xyz_to_lab(values.xyz, white), values.like_prior
        matrix[chosen] = values.matrix
    rows = zip(outlines, means, lab, by_prior, matrix, places, strict=True)
    found = [
        ZoneColour(outline.kind, mean, one, bool(like), by, place, np.zeros(3))
        for outline, mean, one, like, by, place in rows
    ]
    return [
        zone if outline.expected is None else _by_expected(zone, one, outline.expected, calibration, chart, weights)
        for zone, one, outline in zip(found, rgb, outlines, strict=True)
    ]


def _by_expected(
    zone: ZoneColour,
    rgb: Floats,
    expected: ArrayLike,
    calibration: PhotoCalibration,
    chart: tuple[Floats, Floats],
    weights: Floats,
) -> ZoneColour:
    """The zone by what is expected of it; as it was where it is unlike that."""
    white, likely = weights.sum(axis=0), about(expected)
    prior = calibration.response.rgb(likely), likely @ weights
    values = zone_values(rgb[np.newaxis], white, prior, chart, unlike=UNEXPECTED)
    if not values.like_prior[0]:
        return replace(zone, as_expected=False)
    lab = xyz_to_lab(values.xyz[0], white)
    return replace(zone, lab=lab, matrix=values.matrix[0], by_prior=True, as_expected=True)


def _anchored(
    reading: PhotoReading, references: Sequence[ZoneColour], known: Sequence[Floats], *, grey_only: bool
) -> PhotoReading:
    """The zones moved by what the tabs were off; a tab under glare is not used."""
    usable = [(one.lab, lab) for one, lab in zip(references, known, strict=True) if not one.mean.flagged]
    if not usable:
        return reading
    measured, true = (np.array(side) for side in zip(*usable, strict=True))
    offset, closure = tab_offset(measured, true, grey_only=grey_only)
    zones = tuple(replace(zone, lab=zone.lab + offset, offset=offset) for zone in reading.zones)
    return replace(reading, zones=zones, closure=closure)


def calibrated(
    picture: Picture, corners: ArrayLike, target: ColourChart, light: LightField | None
) -> tuple[PhotoCalibration, PatchReadings]:
    """The fit of a picture to its target without the patches that stray, and the patches."""
    patches = read_patches(picture, corners, target, light)
    assumed = assumed_response(picture, target.wavelengths) if target.grey_only else None
    found = _fit(picture, target, patches, light, assumed)
    while not target.grey_only:
        used = patches.used
        seen = found.straighten(patches.rgb[used], patches.places[used])
        kernels = response_kernels(target.wavelengths)
        fewer = without_worst(
            patches, target, *left_out_miss(target.reflectance[used], seen, kernels, target.sure[used])
        )
        if fewer is None:
            break
        patches, found = fewer, _fit(picture, target, fewer, light, assumed)
    return found, patches


def _fit(
    picture: Picture, target: ColourChart, patches: PatchReadings, light: LightField | None, assumed: Floats | None
) -> PhotoCalibration:
    used = patches.used
    if used.sum() < (1 if target.grey_only else FEWEST_COLOURS):
        raise InputError(
            say(
                "{source}: only {used} of {patches} patches can be used ({reasons}); check corners and exposure",
                source=picture.source,
                used=int(used.sum()),
                patches=len(target.names),
                reasons=patches.counted,
            )
        )
    return calibrate(
        target.reflectance[used],
        patches.rgb[used],
        patches.places[used],
        target.wavelengths,
        encoded=picture.encoding == "srgb",
        even=light is not None,
        noise=target.sure[used],
        assumed=assumed,
    )


def _met(rgb: Floats, xyz: Floats, white: Floats, *, grey_only: bool) -> tuple[Floats, Floats]:
    """ΔE00 of each patch by a matrix fitted on all, and by one fitted on the others."""
    lab = xyz_to_lab(xyz, white)
    matrix = fit_matrix(rgb, xyz, white, np.ones(len(rgb)))
    fit = delta_e_2000(xyz_to_lab(rgb @ matrix.T, white), lab)
    return fit, np.empty(0) if grey_only else delta_e_2000(left_out_lab(rgb, xyz, white), lab)
