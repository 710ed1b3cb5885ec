"""The colour of an outline: pixels that shine, clip or hide in the dark are left out, the rest is averaged.

A plain mean of an unpolarised tooth is drawn up by highlights (P95 14 ΔE00 in simulation), a low percentile is biased
dark; rejection above a plane in log luminance is neither. A round zone gets less light towards its edges than a flat
target does: of a piece, its middle is meant, as the bow of the zone's own luminance has it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stainbook.photo.field import LightField
from stainbook.photo.geometry import bounds, inside
from stainbook.photo.picture import Picture, highest

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

CLIPPED = 0.985  # share of full scale
DARK = 0.004  # linear: below it are shadow and noise
SPREAD_CLIPPED = 2  # pixels around a clipped one that its light reaches
HIGH, LOW = 2.2, 4.0  # robust standard deviations above and below the plane that are still the zone's own
LEAST_SPREAD = 0.004  # of ln luminance, so that a flat zone keeps its pixels
HALF_CODE = 1.1 / 255  # of ln luminance at full scale: half a step of 8 bits, encoded; JPEG leaves flat blocks of it
ROUNDS = 5
MOST_PIXELS = 2000  # of an outline's box that are looked at, evenly spread; more change nothing
FEWEST_PIXELS, FEWEST_ROUND = 12, 60  # of a zone at all, and of one whose roundness shows
MOSTLY = 0.6  # share masked from which a zone is flagged
MOST_ROUND = 0.04  # of ln luminance, that a zone's mean may lie below its middle by the zone's roundness
HAZE = 0.05  # spread of ln luminance from which what is left lies under a broad highlight


@dataclass(frozen=True, slots=True, eq=False)
class ZoneMean:
    """Mean linear RGB (3,) of what was kept of a zone, its spread, and what was not kept."""

    rgb: Floats
    spread: float  # robust standard deviation of ln luminance within the zone
    grain: float  # the same of single pixels against their neighbours: noise
    pixels: int  # in the outline
    masked: float  # share that was not kept
    clipped: float  # share at full scale
    centre: tuple[float, float]

    @property
    def uneven(self) -> float:
        """Spread of ln luminance without the noise of single pixels."""
        return float(max(0.0, self.spread**2 - self.grain**2) ** 0.5)

    @property
    def flagged(self) -> bool:
        """Mostly glare, or too little of it in the picture."""
        few = self.pixels * (1.0 - self.masked) < FEWEST_PIXELS
        return few or self.masked > MOSTLY or not self.spread < HAZE


def zone_mean(
    picture: Picture,
    polygon: ArrayLike,
    light: LightField | None = None,
    *,
    most_pixels: int = MOST_PIXELS,
    rounded: bool = False,
) -> ZoneMean:
    """Robust mean of the pixels in an outline (n, 2), in the picture's linear RGB.

    light : what a grey frame tells of the light, to be divided by
    rounded : whether it lies on a round surface, whose middle is meant
    """
    box = bounds(polygon, picture.size)
    step = max(1, int(np.sqrt((box[2] - box[0]) * (box[3] - box[1]) / most_pixels)))
    outline = inside(polygon, box, step)
    x, y = (float(value) for value in np.mean(np.asarray(polygon, dtype=np.float64), axis=0))
    if not outline.any():
        return ZoneMean(np.full(3, np.nan), np.nan, 0.0, 0, 1.0, 0.0, (x, y))
    linear, share = picture.crop(box, step)
    if light is not None:
        linear = linear / light.over(box, step)
    clipped = outline & (share >= CLIPPED)
    usable = outline & ~_grown(clipped, SPREAD_CLIPPED if step == 1 else 1) & (highest(linear) > DARK)
    least = LEAST_SPREAD
    if picture.pixels.dtype == np.uint8 and usable.any():
        least = max(least, HALF_CODE / max(float(np.median(share[usable])), 0.1))
    kept, spread, grain = _own(linear, usable, least)
    count = int(outline.sum())
    rgb = linear[kept].mean(axis=0) if kept.any() else linear[outline].mean(axis=0)
    if rounded:
        rgb = rgb * np.exp(_fall(linear, kept, outline))
    masked, cut = 1.0 - float(kept.sum()) / count, float(clipped.sum()) / count
    return ZoneMean(rgb, spread, grain, count * step**2, masked, cut, (x, y))


def _own(linear: Floats, usable: Mask, least: float) -> tuple[Mask, float, float]:
    """The usable pixels that lie near a plane in ln luminance, more narrowly above it; their spread and grain.

    least : spread of ln luminance that any zone is granted
    """
    y, x = np.nonzero(usable)
    if y.size < FEWEST_PIXELS:
        return usable, np.nan, 0.0
    own = linear[y, x]
    ln = np.log(np.maximum(own[:, 0] + own[:, 1] + own[:, 2], 1e-6))
    ground = np.column_stack([np.ones(y.size), x - x.mean(), y - y.mean()])
    near = ln <= _at(ln, 0.75)  # highlights are a minority above
    spread = least
    for _ in range(ROUNDS):
        part = ground[near]
        plane = np.linalg.solve(part.T @ part + 1e-9 * np.eye(3), part.T @ ln[near])
        residual = ln - ground @ plane
        residual -= _at(residual[near], 0.5)
        spread = max(least, 1.4826 * _at(np.abs(residual[near]), 0.5))
        before, near = near, (residual < HIGH * spread) & (residual > -LOW * spread)
        if np.array_equal(before, near):
            break
    kept = np.zeros_like(usable)
    kept[y[near], x[near]] = True
    own_ln = np.full(usable.shape, np.nan)
    own_ln[y[near], x[near]] = ln[near]
    return kept, spread, _grain(own_ln)


def _fall(linear: Floats, kept: Mask, outline: Mask) -> float:
    """How far, of ln luminance, what was kept lies in the mean below the outline's middle by the bow of its light."""
    y, x = np.nonzero(kept)
    if y.size < FEWEST_ROUND:
        return 0.0
    ys, xs = np.nonzero(outline)
    reach = max(float(np.ptp(xs)), float(np.ptp(ys)), 1.0) / 2.0
    u, v = (x - xs.mean()) / reach, (y - ys.mean()) / reach
    ground = np.column_stack([np.ones(y.size), u, v, u * u, u * v, v * v])
    ln = np.log(np.maximum(linear[y, x].sum(axis=1), 1e-6))
    bow = np.linalg.solve(ground.T @ ground + 1e-6 * np.eye(6), ground.T @ ln)
    return float(np.clip(-ground.mean(axis=0)[3:] @ bow[3:], 0.0, MOST_ROUND))


def _grain(ln: Floats) -> float:
    """Robust standard deviation of single pixels of ln luminance (h, w), NaN where not looked at; 0 for too few."""
    apart = np.abs(np.diff(ln, axis=1)).ravel()
    apart = apart[np.isfinite(apart)]
    return 1.4826 * _at(apart, 0.5) / 2**0.5 if apart.size >= FEWEST_PIXELS else 0.0


def _at(values: Floats, share: float) -> float:
    """The value that about so many of them lie below; several times as fast as numpy's own quantile."""
    place = int(share * values.size)
    return float(np.partition(values, place)[place])


def _grown(mask: Mask, by: int) -> Mask:
    """A mask and its neighbours up to ``by`` pixels away along the axes."""
    if not mask.any():
        return mask
    grown = np.pad(mask, by)
    for axis in (0, 1):
        grown = np.logical_or.reduce([np.roll(grown, shift, axis) for shift in range(-by, by + 1)])
    return np.asarray(grown[by:-by, by:-by])
