"""A small copy of a picture for people to look at; colour is never read from it."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from stainbook.photo.picture import Picture


def preview(picture: Picture, longest: int) -> tuple[NDArray[np.uint8], float]:
    """Give a small copy for the eye, RGB (h, w, 3) of 8 bits, at most ``longest`` pixels a side, and its scale.

    >>> small, scale = preview(picture, 100)
    >>> small.shape, scale
    ((50, 100, 3), 0.25)
    """
    width, height = picture.size
    scale = min(1.0, longest / max(width, height))
    step = max(1, int(0.5 / scale))
    size = (max(1, round(width * scale)), max(1, round(height * scale)))
    part: NDArray[Any] = np.ascontiguousarray(picture.pixels[::step, ::step])
    small = np.asarray(cv2.resize(part, size, interpolation=cv2.INTER_AREA), dtype=np.float64) / picture.full
    if picture.encoding != "srgb":
        small = small ** (1 / 2.2)
    top = float(np.quantile(small[::4, ::4], 0.995, axis=(0, 1)).max())
    return np.asarray(np.clip(small / max(top, 1e-6), 0, 1) * 255, np.uint8), scale


def clean_jpeg(small: NDArray[np.uint8], quality: int = 88) -> bytes:
    r"""Give RGB (h, w, 3) of 8 bits as a JPEG that holds nothing but pixels: no place, no serial, no owner.

    >>> data = clean_jpeg(np.zeros((8, 8, 3), np.uint8))
    >>> data[:2], b"Exif" in data
    (b'\xff\xd8', False)
    """
    _, data = cv2.imencode(".jpg", small[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, quality])
    return data.tobytes()
