"""Linear or encoded? What the file or the scene says is held against the patches; a file that says nothing is judged.

Under the right curve a patch's value goes as its reflectance; encoded values read as linear go as its root.
"""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from stainbook.errors import InputError
from stainbook.language import filled, say
from stainbook.photo.picture import Picture, srgb_curves
from stainbook.photo.target import ColourChart, neutral, read_patches, read_some

ENCODED_BELOW = 0.72  # slope of ln value over ln reflectance: 1 for linear, about 0.45 for encoded pictures
SURELY_ENCODED, SURELY_LINEAR = 0.58, 0.85  # slopes from which what is stated is overruled
SPAN = 0.3  # of ln reflectance, that greys must cover
FEWEST_COLOURS = 12  # patches that tell where there are no greys


class Settled(NamedTuple):
    """The picture with its encoding settled, how that was told, and what must be said where it was stated wrongly."""

    picture: Picture
    method: str
    warning: str | None = None


def settled(picture: Picture, corners: ArrayLike, target: ColourChart) -> Settled:
    """Settle a picture's encoding by its patches; what is stated holds unless they plainly say otherwise.

    corners : (4, 2) float, pixels, of the target's grid: TL, TR, BR, BL

    Raises
    ------
    InputError : when the file does not say and the target has too few patches to tell

    >>> unknown = Picture(picture.pixels, "judge")
    >>> settled(unknown, corners, chart).method
    "linear, judged on the chart's patches"
    """
    if picture.is_raw:
        return Settled(picture, picture.encoding)
    slope = _slope(replace(picture, encoding="linear", curves=None), corners, target)
    if picture.encoding == "judge":
        if slope is None:
            raise InputError(
                say(
                    "{source}: nothing says whether the pixels are linear, and the chart tells too little; put "
                    "encoding: linear or encoding: srgb into the scene",
                    source=picture.source,
                )
            )
        found = encoded(picture) if slope < ENCODED_BELOW else linear(picture)
        return Settled(found, _JUDGED[found.encoding])
    as_stated = picture.encoding if picture.encoding == "linear" else picture.profile or picture.encoding
    if slope is None:
        return Settled(picture, as_stated)
    if picture.encoding == "srgb" and slope > SURELY_LINEAR:
        return _overruled(linear(picture), picture)
    if picture.encoding == "linear" and slope < SURELY_ENCODED:
        return _overruled(encoded(picture), picture)
    return Settled(picture, as_stated)


_JUDGED = {
    "srgb": say("encoded, judged on the chart's patches"),
    "linear": say("linear, judged on the chart's patches"),
}
_SHOWN = {
    "srgb": say("encoded, as the chart's patches show"),
    "linear": say("linear, as the chart's patches show"),
}
_OVERRULED = {
    "srgb": say(
        "{source}: taken as encoded, not linear as the scene or the kind of file has it: the chart's patches are met "
        "so; correct encoding in the scene"
    ),
    "linear": say(
        "{source}: taken as linear, not encoded as the scene or the kind of file has it: the chart's patches are met "
        "so; correct encoding in the scene"
    ),
}


def encoded(picture: Picture) -> Picture:
    """The picture as if its values were encoded as sRGB."""
    return replace(picture, encoding="srgb", curves=srgb_curves(int(picture.full) + 1))


def linear(picture: Picture) -> Picture:
    """The picture as if its values were linear."""
    return replace(picture, encoding="linear", curves=None)


def _overruled(found: Picture, picture: Picture) -> Settled:
    return Settled(found, _SHOWN[found.encoding], filled(_OVERRULED[found.encoding], source=picture.source))


def _slope(raw: Picture, corners: ArrayLike, target: ColourChart) -> float | None:
    """Slope of ln stored value over ln reflectance: of greys, else of all patches by broad bands; None if unknown."""
    grey = neutral(target.reflectance)
    level = read_some(raw, corners, target, grey).reshape(-1, 3).mean(axis=1)
    ln = np.log(target.reflectance[grey].mean(axis=1))[np.isfinite(level)]
    if len(ln) >= 2 and np.ptp(ln) >= SPAN:
        return float(np.polyfit(ln, np.log(level[np.isfinite(level)]), 1)[0])
    patches = read_patches(raw, corners, target)
    if patches.used.sum() < FEWEST_COLOURS:
        return None
    rough = np.log(np.maximum(target.rough_rgb[patches.used], 0.01))
    seen = np.log(np.maximum(patches.rgb[patches.used], 1e-4))
    rough, seen = rough - rough.mean(axis=0), seen - seen.mean(axis=0)
    return float((rough * seen).sum() / np.square(rough).sum())
