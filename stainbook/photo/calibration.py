"""What one target tells of a shot: camera x light, a curve that the camera put on its JPEG, and how the light falls.

All in one generalised least squares. A patch's value, straightened by the file's own curve, is

    y (1 + φ(e) · t) (1 - x · g) = R w + noise

with w the smooth response (marginalised as a Gaussian process), t the few coefficients of a curve over the encoded
value e, common to the channels, and g the slope of the light over the place x. t and g are held towards none;
Gauss-Newton. A style that colours shadows gives each channel a curve of its own: where the patches plainly say so, red
and blue get one beside green's.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stainbook.photo.camera_response import NOISE, CameraResponse, estimate_response, patch_covariance, response_kernels

Floats = NDArray[np.float64]

TONE_SPREAD = np.array([0.25, 0.5, 0.5, 0.5])  # how strong a maker's curve may be: of the slope in ln, and of e, e², e³
# How far the curve of red and of blue may lie from green's, where they do: of the slope in ln, and of e, e²
OWN_SPREAD = np.array([0.1, 0.2, 0.2])
# What such curves must explain (of chi²): ordinary pictures 2, one in twenty 5-19, styles that colour shadows some 100
OWN_CURVES = 25.0
LIGHT_SPREAD = 0.03  # fall of the light from the target's middle to its edge
REACH = 0.25  # half-widths from the target's middle: light is strongest there or beside it, a plane drawn on overshoots
ROUNDS = 5
NONE = 1e-9
COMMON, FALL, OWN = slice(0, 4), slice(4, 6), slice(6, 12)  # of the coefficients: curve, light, red's and blue's own


@dataclass(frozen=True, slots=True, eq=False)
class PhotoCalibration:
    """How the values of one picture become light seen by one response."""

    response: CameraResponse
    tone: Floats  # (4, 3), 0 for a linear file
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
    shot = _Patches(reflectance, values, places, kernels, noise)
    alike = np.full(12, NONE)
    alike[COMMON] = TONE_SPREAD if encoded else NONE
    alike[FALL] = NONE if even else LIGHT_SPREAD
    found = np.zeros(12)
    for _ in range(ROUNDS if encoded else 2):
        found = found + shot.step(found, alike)[0]
    if encoded and assumed is None:
        apart = alike.copy()
        apart[OWN] = np.tile(OWN_SPREAD, 2)
        if shot.step(found, apart)[1] - shot.step(found, alike)[1] > OWN_CURVES:
            for _ in range(ROUNDS):
                found = found + shot.step(found, apart)[0]
    tone, light = _curves(found), found[FALL]
    now = _straightened(values, places, tone, light)
    return PhotoCalibration(estimate_response(reflectance, now, kernels, noise=noise), tone, light)


def _curves(found: Floats) -> Floats:
    """The curve of each channel (4, 3)."""
    curves = np.repeat(found[COMMON, np.newaxis], 3, axis=1)
    curves[: len(OWN_SPREAD), [0, 2]] += found[OWN].reshape(2, -1).T
    return curves


def _straightened(linear: Floats, places: Floats, tone: Floats, light: Floats) -> Floats:
    bent = linear * np.exp((tone_features(linear) * tone.T).sum(axis=-1)) if tone.any() else linear
    return np.asarray(bent / np.exp(places @ light)[:, np.newaxis])


@dataclass(frozen=True, slots=True, eq=False)
class _Patches:
    """The patches of one picture: arguments of `calibrate`, and the kernels of the response."""

    reflectance: Floats
    values: Floats
    places: Floats
    kernels: Floats
    noise: float | Floats

    def step(self, found: Floats, loose: Floats) -> tuple[Floats, float]:
        """The change of the coefficients (12,) that makes the patches likeliest, and what it explains, of chi²."""
        now = _straightened(self.values, self.places, _curves(found), found[FALL])
        precision, pull = np.diag(loose**-2.0), -found / loose**2
        features = tone_features(self.values)
        for channel in range(3):
            y = now[:, channel, np.newaxis]
            explained = patch_covariance(self.reflectance, y[:, 0], self.kernels[channel], self.noise)
            curve = -y * features[:, channel]
            own = np.zeros((2, len(y), len(OWN_SPREAD)))
            if channel != 1:
                own[channel // 2] = curve[:, : len(OWN_SPREAD)]
            slopes = np.column_stack([curve, y * self.places, *own])
            weighted = np.linalg.solve(explained, np.column_stack([slopes, y]))
            precision = precision + slopes.T @ weighted[:, :-1]
            pull = pull + slopes.T @ weighted[:, -1]
        step = np.linalg.solve(precision, pull)
        return np.asarray(step), float(pull @ step)


def tone_features(linear: Floats) -> Floats:
    """(…, 4): ln of the value, and the first powers of the value as it was encoded, about mid grey."""
    safe = np.maximum(linear, 1e-4)
    e = safe ** (1.0 / 2.2) - 0.5
    return np.stack([np.log(safe / 0.2), e, e**2, e**3], axis=-1)
