"""What the camera sees of each wavelength under that light, estimated from the target's patches.

Three unknown curves, each a smooth draw (squared exponential kernel), seen through 24 reflectances with
a little noise: a Gaussian process with linear measurements. Nothing about the camera has to be known.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

LENGTH = 30.0  # nm; anything from 20 to 45 does about as well in simulation
NOISE = 0.006  # of a patch: what prints differ by, and reading noise
FLOOR = 0.001  # of the brightest patch
DIM = 0.03  # of the brightest patch: below it a share says little
SCALE = 2.0  # prior standard deviation of the white's value, as a multiple of it


@dataclass(frozen=True, slots=True, eq=False)
class CameraResponse:
    """Camera x light (n, 3) at the wavelengths."""

    mean: Floats

    def rgb(self, reflectance: Floats) -> Floats:
        """Camera RGB (…, 3) of reflectances (…, n)."""
        return reflectance @ self.mean


def response_kernels(wavelengths: Floats, assumed: Floats | None = None) -> Floats:
    """Prior covariances (3, n, n) of the three curves up to scale: smooth ones, or assumed ones (n, 3) times a gain."""
    if assumed is not None:
        return np.array([np.outer(curve, curve) for curve in assumed.T])
    kernel = np.exp(-0.5 * ((wavelengths[:, np.newaxis] - wavelengths) / LENGTH) ** 2)
    return np.repeat(kernel[np.newaxis], 3, axis=0)


def patch_covariance(reflectance: Floats, channel: Floats, kernel: Floats, noise: float | Floats) -> Floats:
    """Covariance (p, p) of patches' values in one channel: what the response may be, and noise."""
    sigma = np.hypot(noise * np.maximum(channel, 0.0), FLOOR * channel.max())
    return np.asarray(_scale(reflectance, channel, kernel) * reflectance @ kernel @ reflectance.T + np.diag(sigma**2))


def estimate_response(
    reflectance: Floats, rgb: Floats, kernels: Floats, *, noise: float | Floats = NOISE
) -> CameraResponse:
    """Posterior mean of camera x light from patches.

    Parameters
    ----------
    reflectance : (p, n) float, factor
    rgb : (p, 3) float, linear
    kernels : (3, n, n) float, of `response_kernels`
    noise : share of a patch's value that is not explained by its reflectance; one, or one a patch
    """
    means = []
    for channel, kernel in zip(rgb.T, kernels, strict=True):
        prior = _scale(reflectance, channel, kernel) * kernel
        pulled = prior @ reflectance.T
        gain = np.linalg.solve(patch_covariance(reflectance, channel, kernel, noise), pulled.T).T
        means.append(gain @ channel)
    return CameraResponse(np.array(means).T)


def response_covariances(reflectance: Floats, rgb: Floats, kernels: Floats, *, noise: float | Floats = NOISE) -> Floats:
    """Posterior covariances (3, n, n) of camera x light, of the arguments of `estimate_response`."""
    left = []
    for channel, kernel in zip(rgb.T, kernels, strict=True):
        prior = _scale(reflectance, channel, kernel) * kernel
        pulled = prior @ reflectance.T
        covariance = patch_covariance(reflectance, channel, kernel, noise)
        left.append(prior - pulled @ np.linalg.solve(covariance, pulled.T))
    return np.array(left)


def left_out_miss(reflectance: Floats, rgb: Floats, kernels: Floats, noise: float | Floats) -> tuple[Floats, Floats]:
    """How far each patch (p,) is from what the others say of it: standard deviations, and share of its value.

    The worst of the three channels; leaving one out has a closed form for a Gaussian process.
    """
    deviations, shares = [], []
    for channel, kernel in zip(rgb.T, kernels, strict=True):
        precision = np.linalg.inv(patch_covariance(reflectance, channel, kernel, noise))
        scaled = precision @ channel
        deviations.append(np.abs(scaled) / np.sqrt(precision.diagonal()))
        shares.append(np.abs(scaled / precision.diagonal()) / np.maximum(channel, DIM * channel.max()))
    return np.max(deviations, axis=0), np.max(shares, axis=0)


def _scale(reflectance: Floats, channel: Floats, kernel: Floats) -> float:
    seen = np.einsum("pn,nm,pm->p", reflectance, kernel, reflectance)
    return float((SCALE * channel.max()) ** 2 / seen.max())
