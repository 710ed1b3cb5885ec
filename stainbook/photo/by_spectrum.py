"""Zones of tissue by their likely spectra: by one shot in place of the matrix, by two shots more surely."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from stainbook.colour import lab_to_xyz
from stainbook.photo.calibration import PhotoCalibration
from stainbook.photo.camera_response import response_covariances, response_kernels
from stainbook.photo.photo_zones import ZoneMean
from stainbook.photo.target import ColourChart, PatchReadings
from stainbook.photo.zone_spectrum import LikelyTissue, Seen, zone_spectrum

if TYPE_CHECKING:
    from stainbook.photo.measure import ZoneColour

Floats = NDArray[np.float64]

# Of the covariance that patches leave of a response drawn from smooth curves of any size: cameras stray less. By two
# shots gum is then met nearer by 0.15 in the median (simulated, raw). After a camera's own curve less is known, and a
# smaller share makes it worse
RESPONSE_LEFT, AFTER_A_CURVE = 0.1, 0.25
UNLIKE = 2.5  # standard deviations, from which the shots do not show one zone of such tissue


class Sight(NamedTuple):
    """How one shot sees: its calibration, and the response (n, 3) that its target tells with covariances (3, n, n)."""

    calibration: PhotoCalibration
    response: Floats
    covariance: Floats

    @classmethod
    def of(cls, calibration: PhotoCalibration, patches: PatchReadings, target: ColourChart) -> Sight:
        """Of a shot whose target was read."""
        used = patches.used
        seen = calibration.straighten(patches.rgb[used], patches.places[used])
        kernels = response_kernels(target.wavelengths)
        left = response_covariances(target.reflectance[used], seen, kernels, noise=target.sure[used])
        share = AFTER_A_CURVE if calibration.tone.any() else RESPONSE_LEFT
        return cls(calibration, calibration.response.mean, share * left)

    def seen(self, mean: ZoneMean, place: Floats) -> Seen:
        """A zone of the shot, by its mean and its place (2,) against the target."""
        rgb = self.calibration.straighten(mean.rgb[np.newaxis], place[np.newaxis], on_target=False)[0]
        return Seen(rgb, self.response, self.covariance)


def by_spectrum(
    zone: ZoneColour, shots: Sequence[Seen], families: Sequence[Floats], wavelengths: Floats, weights: Floats
) -> ZoneColour:
    """The zone as its likely spectrum has it; as it was where the shots do not show such tissue.

    families : reflectances (m, n) by each model of the tissue, at wavelengths (n,)
    weights : (n, 3) float, tristimulus weights
    """
    if len(shots) == 1 and not zone.by_prior:
        return zone  # three channels fit any pink: its colour must be one of the tissue's first
    found = zone_spectrum(shots, [LikelyTissue.of(curves, wavelengths) for curves in families], weights)
    if not found.strain <= UNLIKE:
        return zone
    white = weights.sum(axis=0)
    moved = (found.reflectance @ weights) / np.maximum(lab_to_xyz(zone.lab - zone.offset, white), 1e-6)
    return replace(
        zone,
        lab=found.lab + zone.offset,
        by_prior=True,
        matrix=moved[:, np.newaxis] * zone.matrix,
        six=found.radius if len(shots) > 1 else None,
    )
