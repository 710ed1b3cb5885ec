"""The colour space of one target: spectra to CIELAB in its light, and steps measured in its ΔE00.

Layers all but add up in the logarithms of X, Y, Z, so shifts are held there. Close to the target a
linear map turns them into a space where length is ΔE00 (Sharma, Wu, Dalal 2005, at d → 0).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from stainbook.colour import WAVELENGTHS, delta_e_2000, delta_e_2000_metric, lab_to_xyz, tristimulus_weights, xyz_to_lab
from stainbook.optics.two_by_two import Array
from stainbook.records import LabValues, Viewing

_STEP = 1e-4  # of ln X, ln Y, ln Z


@dataclass(frozen=True, slots=True, eq=False)
class TargetFrame:
    """A target in its light: weights (31, 3), white (3,), and the maps of steps to ΔE00.

    ``of_lab`` (3, 3) takes a step of L*, a*, b*, ``of_ln`` one of ln X, ln Y, ln Z, as a row from
    the left, into the space where its length is ΔE00.
    """

    weights: Array
    white: Array
    target: Array
    offset: Array
    of_lab: Array
    of_ln: Array

    def ln_xyz(self, reflectance: Array) -> Array:
        """(…, 31) reflectance to (…, 3) ln of X, Y, Z."""
        return np.asarray(np.log(reflectance @ self.weights))

    def lab(self, ln_xyz: Array) -> Array:
        """(…, 3) ln of X, Y, Z to L*, a*, b* with the zone's offset."""
        return xyz_to_lab(np.exp(ln_xyz), self.white) + self.offset

    def ln_of_target(self) -> Array:
        """(3,) ln of X, Y, Z that a prediction must have to show the target."""
        return np.asarray(np.log(np.maximum(lab_to_xyz(self.target - self.offset, self.white), 1e-3)))

    def ln_rows(self, ln_reflectance: Array) -> Array:
        """(…, 31, 3) change of ln X, Y, Z by ln reflectance of each band."""
        parts = np.exp(ln_reflectance)[..., None] * self.weights
        return np.asarray(parts / parts.sum(axis=-2, keepdims=True))

    def steps(self, lab: Array) -> Array:
        """(…, 3) from the target to these colours, in the target's space; the length of each is its true ΔE00."""
        step = (lab - self.target) @ self.of_lab
        length = np.linalg.norm(step, axis=-1, keepdims=True)
        true = delta_e_2000(lab, self.target)[..., None]
        return np.asarray(step * np.where(length > 1e-9, true / np.maximum(length, 1e-9), 1.0))


def frame_of(target: LabValues | Array, viewing: Viewing, *, offset: Sequence[float] = (0.0, 0.0, 0.0)) -> TargetFrame:
    """The frame of a target.

    Parameters
    ----------
    target : (3,) L*, a*, b* under ``viewing``
    offset : (3,) added to every predicted L*, a*, b*

    Raises
    ------
    UnknownNameError : for an unknown illuminant or observer
    """
    goal, shift = np.asarray(target, dtype=float), np.asarray(offset, dtype=float)
    weights, white = _weights(viewing.illuminant, viewing.observer)
    of_lab = _root(delta_e_2000_metric(goal))
    xyz = np.maximum(lab_to_xyz(goal - shift, white), 1e-3)
    ends = xyz_to_lab(xyz * np.exp(_STEP * np.concatenate([np.eye(3), -np.eye(3)])), white)
    lab_by_ln = (ends[:3] - ends[3:]) / (2.0 * _STEP)
    return TargetFrame(weights, white, goal, shift, of_lab, lab_by_ln @ of_lab)


@lru_cache(maxsize=64)
def _weights(illuminant: str, observer: int) -> tuple[Array, Array]:
    weights = tristimulus_weights(WAVELENGTHS, illuminant=illuminant, observer=observer)
    return weights, weights.sum(axis=0)


def _root(metric: Array) -> Array:
    """B with B Bᵀ = metric; what rounding makes negative counts as 0."""
    values, vectors = np.linalg.eigh(metric)
    return np.asarray(vectors * np.sqrt(np.maximum(values, 1e-12)))
