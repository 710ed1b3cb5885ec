"""Linear or encoded? A file of 16 bits that does not say is judged on the greys of the target."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from stainbook.errors import InputError
from stainbook.photo.picture import Picture, srgb_curves
from stainbook.photo.target import ColourChart, neutral, read_patches

ENCODED_BELOW = 0.72  # slope of ln value over ln reflectance: 1 for linear, about 0.45 for encoded pictures


def settled(picture: Picture, corners: ArrayLike, target: ColourChart) -> tuple[Picture, str]:
    """The picture with its encoding settled, and how that was told.

    Raises
    ------
    InputError : when the file does not say and the target has too few greys to tell
    """
    if picture.encoding != "judge":
        return picture, picture.profile or picture.encoding
    raw = replace(picture, encoding="linear", curves=None)
    patches = read_patches(raw, corners, target)
    greys = patches.used & neutral(target.reflectance)
    ln = np.log(target.reflectance[greys].mean(axis=1))
    if greys.sum() < 2 or np.ptp(ln) < 0.3:
        raise InputError(
            f"{picture.source}: nothing says whether the pixels are linear, and the target has no greys to tell; "
            "put encoding: linear or encoding: srgb into the scene"
        )
    slope = float(np.polyfit(ln, np.log(patches.rgb[greys].mean(axis=1)), 1)[0])
    if slope < ENCODED_BELOW:
        levels = int(picture.full) + 1
        return replace(picture, encoding="srgb", curves=srgb_curves(levels)), "encoded, judged on the target's greys"
    return raw, "linear, judged on the target's greys"
