"""The target in the picture: its patches read, and those that cannot be trusted dropped and named."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stainbook.errors import InputError
from stainbook.language import joined, say
from stainbook.photo.field import LightField
from stainbook.photo.geometry import area, convex, patch_polygons
from stainbook.photo.photo_zones import ZoneMean, zone_mean
from stainbook.photo.picture import Picture

Floats = NDArray[np.float64]

INNER = 0.75  # share of a patch's width that is read: edges blur and corners are clicked a little off
GLINT = 0.3  # share of a patch masked
CLIPPED = 0.02  # share of a patch at full scale
NEAR_BLACK = 0.006  # linear, of the brightest channel
FLOOR = 0.0015  # linear, of the dimmest channel: a JPEG's colours end there, and the camera has cut it off
UNEVEN = 0.05  # spread of ln luminance within a patch: a shadow's edge, or the corners are off
MOST_PIXELS = 900  # looked at in a patch
SMALLEST = 36.0  # square pixels of a patch
STRAY, STRAY_SHARE = 5.0, 0.07  # standard deviations and share of its value that a patch may be off what others say
STRAY_WORDS = say("unlike its table: shaded or soiled")
OFF_WORDS = say("unevenly lit or off the patch")
CLIPPED_WORDS, GLINT_WORDS = say("clipped"), say("a glint")
BLACK_WORDS, BEYOND_WORDS = say("near black"), say("beyond the file's colours")
MOST_STRAYS = 0.25  # share of the patches; more means that the corners or the table are wrong


@dataclass(frozen=True, slots=True, eq=False)
class ColourChart:
    """A chart: ``rows`` x ``columns`` patches row by row, their reflectance (p, n) at ``wavelengths`` (n,) nm.

    ``sure`` (p,) is the share of a patch's value that its table may be wrong by.
    """

    rows: int
    columns: int
    names: tuple[str, ...]
    reflectance: Floats
    wavelengths: Floats
    sure: Floats
    fill: float = 0.8

    @property
    def grey_only(self) -> bool:
        """Whether all patches are near neutral, so that nothing is told of colour."""
        return bool(neutral(self.reflectance).all())

    @property
    def rough_rgb(self) -> Floats:
        """What a usual camera sees of the patches (p, 3), linear: means over three broad bands."""
        bands = ((590, 680), (500, 590), (410, 500))
        chosen = [(self.wavelengths >= low) & (self.wavelengths < high) for low, high in bands]
        return np.column_stack([self.reflectance[:, band].mean(axis=1) for band in chosen])


@dataclass(frozen=True, slots=True, eq=False)
class PatchReadings:
    """What the picture shows of the patches: linear RGB (p, 3), places (p, 2), which count, and why others do not."""

    rgb: Floats
    places: Floats
    used: NDArray[np.bool_]
    dropped: tuple[tuple[str, str], ...]

    @property
    def counted(self) -> str:
        """How many were dropped for which reason."""
        reasons = [reason for _, reason in self.dropped]
        return joined(say("{n} {reason}", n=reasons.count(reason), reason=reason) for reason in dict.fromkeys(reasons))


def neutral(reflectance: Floats) -> NDArray[np.bool_]:
    """Which reflectances (…, n) hardly change over the wavelengths between 430 and 680 nm of an even grid."""
    inner = reflectance[..., 3:-2]
    return np.asarray(np.ptp(inner, axis=-1) < 0.15 * inner.mean(axis=-1) + 0.01)


def place_of(points: ArrayLike, corners: ArrayLike) -> Floats:
    """Places (…, 2) of pixels: from the target's middle, in units of half its mean width."""
    c = np.asarray(corners, dtype=np.float64)
    half = (np.linalg.norm(c[1] - c[0]) + np.linalg.norm(c[2] - c[3])) / 4.0
    return np.asarray((np.asarray(points, dtype=np.float64) - c.mean(axis=0)) / half)


def read_patches(
    picture: Picture, corners: ArrayLike, target: ColourChart, light: LightField | None = None
) -> PatchReadings:
    """Read the patches of a target whose corners (4, 2) are TL, TR, BR, BL of the grid of cells.

    Raises
    ------
    InputError : for corners that cross, lie outside the picture or leave too few pixels
    """
    _check_corners(picture, corners, target)
    outlines = patch_polygons(corners, target.rows, target.columns, target.fill * INNER)
    means = _means(picture, outlines, light)
    why = [_trouble(mean) for mean in means]
    used = np.array([reason is None for reason in why])
    dropped = tuple((name, reason) for name, reason in zip(target.names, why, strict=True) if reason)
    places = place_of([mean.centre for mean in means], corners)
    return PatchReadings(np.array([mean.rgb for mean in means]), places, used, dropped)


def read_some(picture: Picture, corners: ArrayLike, target: ColourChart, some: NDArray[np.bool_]) -> Floats:
    """Linear RGB (n, 3) of those of ``some`` (p,) patches that count, NaN where one does not; see `read_patches`."""
    _check_corners(picture, corners, target)
    outlines = patch_polygons(corners, target.rows, target.columns, target.fill * INNER)[some]
    return np.array([mean.rgb if _trouble(mean) is None else np.full(3, np.nan) for mean in _means(picture, outlines)])


def _means(picture: Picture, outlines: Floats, light: LightField | None = None) -> list[ZoneMean]:
    return [zone_mean(picture, outline, light, most_pixels=MOST_PIXELS) for outline in outlines]


def without_worst(
    patches: PatchReadings, target: ColourChart, deviations: Floats, shares: Floats
) -> PatchReadings | None:
    """The readings without the patch that is least like its table: shaded, soiled, or another chart's; None if all are.

    deviations, shares : (used,) float, how far each used patch is from what the others say of it
    """
    lost = sum(reason == STRAY_WORDS for _, reason in patches.dropped)
    worst = int(np.argmax(np.where(shares > STRAY_SHARE, deviations, 0.0)))
    if deviations[worst] < STRAY or shares[worst] < STRAY_SHARE or lost >= MOST_STRAYS * len(target.names):
        return None
    number = int(np.flatnonzero(patches.used)[worst])
    used = patches.used.copy()
    used[number] = False
    return replace(patches, used=used, dropped=(*patches.dropped, (target.names[number], STRAY_WORDS)))


def _trouble(patch: ZoneMean) -> str | None:
    if patch.clipped > CLIPPED:
        return CLIPPED_WORDS
    if patch.rgb.max() < NEAR_BLACK:
        return BLACK_WORDS
    if patch.rgb.min() < FLOOR:
        return BEYOND_WORDS
    if patch.masked > GLINT:
        return GLINT_WORDS
    return OFF_WORDS if patch.uneven > UNEVEN else None


def _check_corners(picture: Picture, corners: ArrayLike, target: ColourChart) -> None:
    c = np.asarray(corners, dtype=np.float64)
    width, height = picture.size
    if c.shape != (4, 2) or not convex(c):
        raise InputError(
            say(
                "{source}: corners that cross: expected top left, top right, bottom right, bottom left",
                source=picture.source,
            )
        )
    if c.min() < -1 or c[:, 0].max() > width or c[:, 1].max() > height:
        raise InputError(
            say(
                "{source}: a corner outside the picture of {width} x {height} pixels",
                source=picture.source,
                width=width,
                height=height,
            )
        )
    if area(c) * (target.fill * INNER) ** 2 / (target.rows * target.columns) < SMALLEST:
        raise InputError(
            say(
                "{source}: patches of fewer than {least:g} pixels; go closer or use a larger file",
                source=picture.source,
                least=SMALLEST,
            )
        )
