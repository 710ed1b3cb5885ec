"""What a target's patches say of a picture beyond colours: a bowl of light, two lights, a veil, tones moved by place.

After the fit of `calibration` the patches' residuals are explained once more by what may be wrong with a shot, each of
it with a wide prior, beside the curve and the slope of the light that were fitted. How much of each is found, and how
surely, tells whether a picture can be believed, and how far its zones may be off where no patch lies.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from stainbook.colour import delta_e_2000, xyz_to_lab
from stainbook.photo.calibration import TONE_SPREAD, PhotoCalibration, tone_features
from stainbook.photo.camera_response import patch_covariance, response_kernels
from stainbook.photo.picture import Picture
from stainbook.photo.target import ColourChart, PatchReadings

Floats = NDArray[np.float64]

# Prior standard deviations, of ln: wide, so that the patches speak. Evened out by a grey frame: what it leaves
LIGHT, COLOUR, EVEN_LIGHT, EVEN_COLOUR = 0.1, 0.2, 0.005, 0.005
MAPPING = 0.5  # exponent of the surroundings' brightness
VEIL = 0.03  # of the lightest patch
NONE = 1e-9
VEIL_LEAVES = (0.3, 1.5)  # share of a zone's value without the veil, beyond which the figure means nothing
APART = 0.05  # of ln: light that a piece beside the chart may get less, or more, than the chart itself
AROUND = 0.04  # of the picture's longer side: how far the surroundings of a place reach
SMALL = 300  # pixels of the copy that surroundings are told by, about
DARKEST = 0.004  # linear
LIGHT_REACH, COLOUR_REACH = 1.6, 2.5  # half-widths from the target's middle, to which a bowl and a slope are drawn on
USUAL_STRAIN = 0.45  # mean square, in the table's doubt, of what ordinary pictures leave (simulated: 0.2-0.8)
DARKEST_XYZ = 1e-3

TONE, SLOPE, BOWL, TINT, MAPPED, VEILED = (
    slice(0, 4), slice(4, 6), slice(6, 9), slice(9, 13), slice(13, 14), slice(14, 17)
)  # fmt: skip


class ZoneSigns(NamedTuple):
    """ΔE00 that a zone would move by what is found at the target, drawn on to its place, and by the doubt of its light.

    ``veil`` is that of stray light, ``apart`` of a piece that lies a little deeper than the target or turned away.
    """

    light: float = 0.0
    light_sd: float = 0.0
    colour: float = 0.0
    veil: float = 0.0
    apart: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Examination:
    """Coefficients (17,) of what may be wrong, their covariance, and the mean square left, in the table's doubt.

    ``lightest`` (3,) is the patches' highest value in each channel, by which a veil is measured; ``slope`` how much the
    light changes from the target's middle to its edge, of ln.
    """

    found: Floats
    covariance: Floats
    strain: float
    lightest: Floats
    slope: float = 0.0

    def evidence(self, group: slice) -> float:
        """How surely a group of coefficients is not nothing: of chi square, by what the patches stray anyway."""
        found = self.found[group]
        sure = float(found @ np.linalg.solve(self.covariance[group, group], found))
        return sure / max(1.0, self.strain / USUAL_STRAIN)

    @property
    def two_lights(self) -> float:
        """Evidence that the light's colour changes over the target."""
        return self.evidence(TINT)

    @property
    def bowed(self) -> float:
        """Evidence that the light falls off from one place, not as a plane."""
        return self.evidence(BOWL)

    @property
    def mapped(self) -> float:
        """Evidence that brightness follows the surroundings, as after a phone's tone mapping."""
        return self.evidence(MAPPED)

    def at(self, place: Floats, rgb: Floats, matrix: Floats, white: Floats) -> ZoneSigns:
        """The signs at a place (2,) for a zone of camera RGB (3,) with its matrix (3, 3)."""
        bowl, tint = _bowl(place), _tint(place)
        doubt = np.sqrt(np.einsum("ic,ij,jc->c", bowl, self.covariance[BOWL, BOWL], bowl))
        shifts = self.found[BOWL] @ bowl, doubt, self.found[TINT] @ tint
        signs = [_moved(rgb, one, matrix, white) for one in shifts]
        left = 1.0 - self.found[VEILED] * self.lightest / np.maximum(rgb, DARKEST)
        signs.append(_moved(rgb, np.log(np.clip(left, *VEIL_LEAVES)), matrix, white))
        signs.append(_moved(rgb, np.full(3, -APART), matrix, white))
        return ZoneSigns(*signs)


def _bowl(place: Floats) -> Floats:
    """(3, 3): rows x², xy, y² of a place, alike in all channels."""
    x, y = np.clip(place, -LIGHT_REACH, LIGHT_REACH)
    return np.array([x * x, x * y, y * y])[:, np.newaxis] * np.ones(3)


def _tint(place: Floats) -> Floats:
    """(4, 3): slopes of red and of blue against green, along x and along y."""
    x, y = np.clip(place, -COLOUR_REACH, COLOUR_REACH)
    return np.array([[x, 0, 0], [0, 0, x], [y, 0, 0], [0, 0, y]])


def _moved(rgb: Floats, shift: Floats, matrix: Floats, white: Floats) -> float:
    """ΔE00 of a zone whose ln RGB moves by a shift (3,)."""
    both = np.maximum(np.array([rgb, rgb * np.exp(shift)]) @ matrix.T, DARKEST_XYZ)
    one, other = xyz_to_lab(both, white)
    return float(delta_e_2000(one, other))


def examine(
    picture: Picture,
    corners: ArrayLike,
    target: ColourChart,
    patches: PatchReadings,
    calibration: PhotoCalibration,
    *,
    even: bool,
) -> Examination:
    """Explain what the patches leave by what may be wrong with a shot.

    even : whether the light was evened out by a grey frame
    """
    used = patches.used
    values = patches.rgb[used]
    now = calibration.straighten(values, patches.places[used])
    features = _features(picture, corners, patches.places[used], values, now)
    loose = _priors(encoded=picture.encoding == "srgb", even=even)
    kernels = response_kernels(target.wavelengths)
    precision, pull, left = np.diag(loose**-2.0), np.zeros(len(loose)), 0.0
    for channel in range(3):
        y = now[:, channel]
        explained = patch_covariance(target.reflectance[used], y, kernels[channel], target.sure[used])
        slopes = features[:, :, channel].T * y[:, np.newaxis]
        weighted = np.linalg.solve(explained, np.column_stack([slopes, y]))
        precision = precision + slopes.T @ weighted[:, :-1]
        pull = pull + slopes.T @ weighted[:, -1]
        left += float(y @ weighted[:, -1])
    covariance: Floats = np.asarray(np.linalg.inv(precision), dtype=np.float64)
    found: Floats = np.asarray(covariance @ pull, dtype=np.float64)
    strain = max(0.0, left - float(pull @ found)) / values.size
    slope = float(np.linalg.norm(calibration.light + found[SLOPE]))
    return Examination(found, covariance, strain, now.max(axis=0), slope)


def _priors(*, encoded: bool, even: bool) -> Floats:
    light, colour = (EVEN_LIGHT, EVEN_COLOUR) if even else (LIGHT, COLOUR)
    tone = TONE_SPREAD if encoded else np.full(4, NONE)
    return np.concatenate([tone, np.full(5, light), np.full(4, colour), [MAPPING], np.full(3, VEIL)])


def _features(picture: Picture, corners: ArrayLike, places: Floats, values: Floats, now: Floats) -> Floats:
    """(17, p, 3): by how much of ln each unit of a coefficient moves each patch in each channel."""
    count = len(places)
    rows = [*np.moveaxis(tone_features(values), -1, 0)]
    rows += [np.repeat(axis[:, np.newaxis], 3, axis=1) for axis in places.T]
    x, y = places.T
    rows += [np.repeat(part[:, np.newaxis], 3, axis=1) for part in (x * x, x * y, y * y)]
    nothing = np.zeros(count)
    for axis in places.T:
        rows += [np.column_stack([axis, nothing, nothing]), np.column_stack([nothing, nothing, axis])]
    around = _surroundings(picture, corners, places)
    rows.append(np.repeat((around - around.mean())[:, np.newaxis], 3, axis=1))
    for channel in range(3):
        veil = np.zeros((count, 3))
        veil[:, channel] = now[:, channel].max() / np.maximum(now[:, channel], 1e-4)
        rows.append(veil)
    return np.array(rows)


def _surroundings(picture: Picture, corners: ArrayLike, places: Floats) -> Floats:
    """Mean ln brightness (p,) around places on the target."""
    step = max(1, max(picture.size) // SMALL)
    light = picture.linear(picture.pixels[::step, ::step]).mean(axis=-1)
    blurred = cv2.GaussianBlur(np.log(np.maximum(light, DARKEST)), (0, 0), AROUND * max(light.shape))
    grid = np.asarray(corners, dtype=np.float64)
    half = (np.linalg.norm(grid[1] - grid[0]) + np.linalg.norm(grid[2] - grid[3])) / 4.0
    at = np.round((places * half + grid.mean(axis=0)) / step).astype(int)
    at = np.clip(at, 0, np.array(blurred.shape[::-1]) - 1)
    return np.asarray(blurred[at[:, 1], at[:, 0]], dtype=np.float64)
