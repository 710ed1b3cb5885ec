"""Whether a shot was taken well: exposure, glare, focus, and how evenly the light falls."""

from __future__ import annotations

from typing import NamedTuple

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from stainbook.photo.field import LightField
from stainbook.photo.geometry import homography, project
from stainbook.photo.picture import Picture, highest
from stainbook.photo.target import CLIPPED_WORDS, GLINT_WORDS, ColourChart, read_patches

Floats = NDArray[np.float64]

BINS = 32
STEP = 7  # every so many pixels are looked at
CLIPPED = 0.985  # share of full scale
PROFILE = 41  # places from a patch's inside to the middle of the gap beside it
CONTRAST = 0.08  # of full scale, that an edge must have to tell its width


class ShotCheck(NamedTuple):
    """What a test shot shows.

    ``histogram`` (BINS) is shares of pixels by their highest channel as the file holds it, ``clipped`` the share at
    full scale; ``white`` the linear value of the lightest patch, ``glints`` and ``patches`` how many there are,
    ``blur`` the width of a patch's edge as a share of the patch: None without a target. ``uneven`` is the brightest
    light over the darkest by the grey frame, None without one.
    """

    histogram: tuple[float, ...]
    clipped: float
    white: float | None = None
    glints: int = 0
    patches: int = 0
    blur: float | None = None
    uneven: float | None = None


def check_shot(
    picture: Picture, corners: ArrayLike | None, target: ColourChart, light: LightField | None = None
) -> ShotCheck:
    """Check a picture; corners (4, 2) of the target where they are known.

    Raises InputError for corners that cannot be.

    >>> shot = check_shot(picture, corners, chart)
    >>> shot.clipped, round(shot.white, 2), shot.patches
    (0.0, 0.88, 24)
    """
    share = highest(picture.pixels[::STEP, ::STEP]) / picture.full
    counts, _ = np.histogram(share, BINS, (0.0, 1.0))
    found = ShotCheck(tuple(counts / share.size), float(np.mean(share >= CLIPPED)), uneven=_uneven(light))
    if corners is None:
        return found
    patches = read_patches(picture, corners, target, light)
    lightest = int(np.argmax(target.reflectance.mean(axis=1)))
    glints = sum(reason in (GLINT_WORDS, CLIPPED_WORDS) for _, reason in patches.dropped)
    white = float(patches.rgb[lightest].max())
    return found._replace(
        white=white, glints=glints, patches=len(target.names), blur=edge_width(picture, corners, target)
    )


def edge_width(picture: Picture, corners: ArrayLike, target: ColourChart) -> float | None:
    """How wide a patch's edges are, from a tenth to nine tenths of the step, as a share of the patch's width."""
    size = (target.columns, target.rows)
    grid = homography([[0, 0], [size[0], 0], size, [0, size[1]]], corners)
    middles = np.stack(np.meshgrid(np.arange(size[0]), np.arange(size[1])), axis=-1).reshape(-1, 1, 2) + 0.5
    out = np.linspace(0.25 * target.fill, 0.5, PROFILE)
    widths = []
    for side in ([1, 0], [-1, 0], [0, 1], [0, -1]):
        at = project(grid, middles + out[:, np.newaxis] * np.array(side)).astype(np.float32)
        seen = cv2.remap(np.asarray(picture.pixels), at[..., 0], at[..., 1], cv2.INTER_LINEAR)
        values = seen.mean(axis=-1) / picture.full
        steps = np.abs(values[:, 0] - values[:, -1]) > CONTRAST
        part = (values[steps] - values[steps, -1:]) / (values[steps, :1] - values[steps, -1:])
        widths.append(((part > 0.1) & (part < 0.9)).sum(axis=1) * (out[1] - out[0]) / target.fill)
    found = np.concatenate(widths)
    return float(np.median(found)) if found.size else None


def _uneven(light: LightField | None) -> float | None:
    if light is None:
        return None
    level = light.blocks.mean(axis=-1)
    return float(level.max() / level.min())
