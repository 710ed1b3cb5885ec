"""Before and after side by side: the zones of two photos as their colours were measured, so that light is the same."""

from __future__ import annotations

from typing import TYPE_CHECKING

import cv2
import numpy as np
from numpy.typing import NDArray

from stainbook.colour import white_point
from stainbook.colour.screen import SRGB_WHITE, XYZ_TO_SRGB
from stainbook.photo.preview import clean_jpeg
from stainbook.records import Viewing

if TYPE_CHECKING:
    from stainbook.work.photo.photo_colours import Taken

Floats = NDArray[np.float64]

HEIGHT, WIDEST = 420, 620  # pixels of one picture
MARGIN = 0.25  # of the zones' box, around it
GROUND = 150  # grey of L* 62, between and below the two
GAP = 6


def side_by_side(before: Taken, now: Taken, viewing: Viewing) -> bytes:
    """A JPEG of the zones' surroundings, before at the left and now at the right, each outlined."""
    pictures = [_shown(taken, viewing) for taken in (before, now)]
    height = max(one.shape[0] for one in pictures)
    padded = [cv2.copyMakeBorder(one, 0, height - one.shape[0], 0, GAP, cv2.BORDER_CONSTANT, value=[GROUND] * 3)
              for one in pictures]  # fmt: skip
    return clean_jpeg(np.asarray(np.hstack(padded)[:, :-GAP], np.uint8), 92)


def _shown(taken: Taken, viewing: Viewing) -> NDArray[np.uint8]:
    """The box around the zones as a screen shows its colours (h, w, 3), with outlines."""
    points = np.vstack([np.asarray(zone.polygon) for zone in taken.scene.zones])
    low, high = points.min(axis=0), points.max(axis=0)
    around = MARGIN * (high - low).max()
    width, height = taken.picture.size
    x0, y0 = np.clip(np.floor(low - around), 0, [width - 1, height - 1]).astype(int)
    x1, y1 = np.clip(np.ceil(high + around), [x0 + 1, y0 + 1], [width, height]).astype(int)
    scale = min(HEIGHT / (y1 - y0), WIDEST / (x1 - x0))
    linear, _ = taken.picture.crop((x0, y0, x1, y1), max(1, int(0.5 / scale)))
    size = max(1, round((x1 - x0) * scale)), max(1, round((y1 - y0) * scale))
    way = cv2.INTER_AREA if scale < 1 else cv2.INTER_LINEAR
    image = _encoded(np.asarray(cv2.resize(linear, size, interpolation=way), dtype=np.float64), taken, viewing)
    for zone in taken.scene.zones:
        outline = np.round((np.asarray(zone.polygon) - [x0, y0]) * scale).astype(np.int32)
        cv2.polylines(image, [outline], True, (255, 255, 255), 1, cv2.LINE_AA)
    return image


def _encoded(linear: Floats, taken: Taken, viewing: Viewing) -> NDArray[np.uint8]:
    """Linear RGB (h, w, 3) as the zones' middle matrix and the light at their middle have it, for the screen."""
    zones = taken.reading.zones
    matrix = np.median([zone.matrix for zone in zones], axis=0)
    place = np.mean([zone.place for zone in zones], axis=0)
    flat = linear.reshape(-1, 3)
    straight = taken.reading.calibration.straighten(flat, np.broadcast_to(place, (len(flat), 2)), on_target=False)
    white = white_point(viewing.illuminant, viewing.observer, taken.target.wavelengths)
    light = np.clip(straight @ matrix.T / white * (SRGB_WHITE / 100.0) @ XYZ_TO_SRGB.T, 0.0, 1.0)
    shown = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1.0 / 2.4) - 0.055)
    return np.ascontiguousarray(np.round(255 * shown).astype(np.uint8).reshape(linear.shape))
