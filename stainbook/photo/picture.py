"""A decoded picture: pixels as the file holds them, and the way from them to light."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Pixels = NDArray[np.uint8] | NDArray[np.uint16] | NDArray[np.float32]

ENCODINGS = ("linear", "srgb")


@dataclass(frozen=True, slots=True)
class Shot:
    """What is kept of a picture's own data: camera, lens and exposure; never position, serial or owner."""

    camera: str | None = None
    lens: str | None = None
    exposure_s: float | None = None
    aperture: float | None = None
    iso: float | None = None
    focal_mm: float | None = None
    taken_at: str | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Picture:
    """Pixels (H, W, 3) in the orientation in which the picture is seen.

    ``curves`` (256 or 65536, 3) turn the values of 8 or 16 bits to linear 0-1 for each channel; None where the
    pixels are linear already. ``computed``: the file says that it was put together from several exposures or evened
    out by a process of the camera's own. ``camera_matrix`` (3, 3) turns XYZ (D65, Y = 1) to camera RGB, where a raw
    file has it.
    """

    pixels: Pixels
    encoding: str
    curves: Floats | None = None
    profile: str | None = None
    shot: Shot = field(default_factory=Shot)
    camera_matrix: Floats | None = None
    source: str = "picture"
    notes: tuple[str, ...] = ()
    is_raw: bool = False  # sensor data, whose values are light and nothing else
    computed: bool = False

    @property
    def size(self) -> tuple[int, int]:
        """Width and height in pixels."""
        return self.pixels.shape[1], self.pixels.shape[0]

    @property
    def full(self) -> float:
        """The value of a saturated pixel."""
        return {"uint8": 255.0, "uint16": 65535.0}.get(self.pixels.dtype.name, 1.0)

    def crop(self, box: tuple[int, int, int, int], step: int = 1) -> tuple[Floats, Floats]:
        """Linear RGB (h, w, 3) on 0-1 and the highest channel's share of full scale (h, w) of every step-th pixel."""
        part = self.pixels[box[1] : box[3] : step, box[0] : box[2] : step]
        return self.linear(part), highest(part) / self.full

    def linear(self, values: ArrayLike) -> Floats:
        """Pixel values (…, 3) as linear RGB on 0-1."""
        array = np.asarray(values)
        if self.curves is None:
            return np.asarray(array / self.full, dtype=np.float64)
        found = np.empty(array.shape)
        for channel in range(3):
            found[..., channel] = self.curves[array[..., channel], channel]
        return found


def highest(values: NDArray[Any]) -> NDArray[Any]:
    """The highest of three channels (…, 3); several times as fast as numpy's own over so short an axis."""
    return np.asarray(np.maximum(np.maximum(values[..., 0], values[..., 1]), values[..., 2]))


def srgb_curves(levels: int) -> Floats:
    """The transfer curve of IEC 61966-2-1 at ``levels`` even steps, (levels, 3), linear 0-1."""
    encoded = np.arange(levels) / (levels - 1)
    linear = np.where(encoded <= 0.04045, encoded / 12.92, ((encoded + 0.055) / 1.055) ** 2.4)
    return np.repeat(linear[:, np.newaxis], 3, axis=1)
