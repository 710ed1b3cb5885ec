"""What one target tells of a shot: camera x light, a curve that the camera put on its JPEG, and how the light falls.

All in one generalised least squares. A patch's value, straightened by the file's own curve, is

    y (1 + φ(e) · t) (1 - x · g) = R w + noise

with w the smooth response (marginalised as a Gaussian process), t the few coefficients of a curve over the encoded
value e, common to the channels, and g the slope of the light over the place x. t and g are held towards none;
Gauss-Newton.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stainbook.photo.camera_response import NOISE, CameraResponse, estimate_response, patch_covariance, response_kernels

Floats = NDArray[np.float64]

TONE_SPREAD = np.array([0.25, 0.5, 0.5, 0.5])  # how strong a maker's curve may be: of the slope in ln, and of e, e², e³
LIGHT_SPREAD = 0.03  # fall of the light from the target's middle to its edge
REACH = 0.25  # half-widths from the target's middle: light is strongest there or beside it, a plane drawn on overshoots
ROUNDS = 5


@dataclass(frozen=True, slots=True, eq=False)
class PhotoCalibration:
    """How the values of one picture become light seen by one response."""

    response: CameraResponse
    tone: Floats  # (4,), 0 for a linear file
    light: Floats  # (2,) slope of ln light over places

    def straighten(self, linear: Floats, places: Floats, *, on_target: bool = True) -> Floats:
        """Values (m, 3) as the file's own curve gives them, at places (m, 2), as evenly lit linear RGB."""
        places = places if on_target else np.clip(places, -REACH, REACH)
        return _straightened(linear, places, self.tone, self.light)


def calibrate(
    reflectance: Floats,
    values: Floats,
    places: Floats,
    wavelengths: Floats,
    *,
    encoded: bool,
    even: bool,
    noise: float | Floats = NOISE,
    assumed: Floats | None = None,
) -> PhotoCalibration:
    """Fit a picture's response, curve and light from its patches.

    Parameters
    ----------
    reflectance : (p, n) float, factor, of the patches by their table
    values : (p, 3) float, linear 0-1 by the file's own curve
    places : (p, 2) float, from the target's middle in units of half its width
    wavelengths : (n,) float, nm
    encoded : whether the camera may have put a curve of its own upon it
    even : whether the light was evened out by a grey frame
    noise : share of a patch's value that its table does not explain; one, or one a patch
    assumed : (n, 3) float, the response up to a gain a channel; for greys, which tell nothing of colour
    """
    kernels = response_kernels(wavelengths, assumed)
    tone, light = np.zeros(4), np.zeros(2)
    loose = np.concatenate([TONE_SPREAD if encoded else np.full(4, 1e-9), np.full(2, 1e-9 if even else LIGHT_SPREAD)])
    for _ in range(ROUNDS if encoded else 2):
        now = _straightened(values, places, tone, light)
        step = _step(reflectance, now, values, places, kernels, noise, np.concatenate([tone, light]), loose)
        tone, light = tone + step[:4], light + step[4:]
    now = _straightened(values, places, tone, light)
    return PhotoCalibration(estimate_response(reflectance, now, kernels, noise=noise), tone, light)


def _straightened(linear: Floats, places: Floats, tone: Floats, light: Floats) -> Floats:
    bent = linear * np.exp(tone_features(linear) @ tone) if tone.any() else linear
    return np.asarray(bent / np.exp(places @ light)[:, np.newaxis])


def _step(
    reflectance: Floats,
    now: Floats,
    values: Floats,
    places: Floats,
    kernels: Floats,
    noise: float | Floats,
    coefficients: Floats,
    loose: Floats,
) -> Floats:
    """The change of the coefficients (6,) that makes the patches likeliest."""
    precision, pull = np.diag(loose**-2.0), -coefficients / loose**2
    features = tone_features(values)
    for channel in range(3):
        y = now[:, channel]
        explained = patch_covariance(reflectance, y, kernels[channel], noise)
        slopes = np.column_stack([-y[:, np.newaxis] * features[:, channel], y[:, np.newaxis] * places])
        weighted = np.linalg.solve(explained, np.column_stack([slopes, y]))
        precision = precision + slopes.T @ weighted[:, :-1]
        pull = pull + slopes.T @ weighted[:, -1]
    return np.asarray(np.linalg.solve(precision, pull))


def tone_features(linear: Floats) -> Floats:
    """(…, 4): ln of the value, and the first powers of the value as it was encoded, about mid grey."""
    safe = np.maximum(linear, 1e-4)
    e = safe ** (1.0 / 2.2) - 0.5
    return np.stack([np.log(safe / 0.2), e, e**2, e**3], axis=-1)
