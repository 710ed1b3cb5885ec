"""Outlines of zones drawn upon a small copy of a photo, for reports."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from stainbook.photo.preview import clean_jpeg

BLACK, WHITE = (0, 0, 0), (255, 255, 255)
LETTER = 0.4  # of OpenCV's own size, for a picture of 1000 pixels
SHIFT = 4  # bits of a pixel that outlines are drawn to


def outlined(
    jpeg: bytes, zones: Mapping[tuple[int, str], Sequence[tuple[float, float]]], longest: int
) -> tuple[bytes, int, int]:
    """Draw the outlines of zones and their names upon a JPEG; gives the new JPEG, its width and its height.

    zones : outlines in pixels of ``jpeg`` by tooth and zone; longest : at most so many pixels a side

    >>> jpeg = clean_jpeg(np.full((100, 200, 3), 128, np.uint8))
    >>> drawn, *size = outlined(jpeg, {(11, "middle"): [(20, 20), (90, 20), (90, 80)]}, 150)
    >>> size, drawn != jpeg
    ([150, 75], True)
    """
    image: Any = cv2.imdecode(np.frombuffer(jpeg, np.uint8), cv2.IMREAD_COLOR_RGB)
    scale = min(1.0, longest / max(image.shape[:2]))
    if scale < 1.0:
        image = cv2.resize(image, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    size = LETTER * max(image.shape[:2]) / 1000
    for (tooth, zone), outline in zones.items():
        points = (np.asarray(outline) + 0.5) * scale - 0.5
        _drawn(image, points)
        _named(image, points, (f"{tooth} {zone}", str(tooth)), size)
    return clean_jpeg(image), image.shape[1], image.shape[0]


def _drawn(image: NDArray[np.uint8], points: NDArray[np.float64]) -> None:
    at = [np.round(points * 2**SHIFT).astype(np.int32)]
    for colour, width in ((BLACK, 3), (WHITE, 1)):
        cv2.polylines(image, at, True, colour, width, cv2.LINE_AA, SHIFT)


def _named(image: NDArray[np.uint8], points: NDArray[np.float64], names: Sequence[str], size: float) -> None:
    """The first of the names that fits into the outline's width, else none: letters over letters say nothing."""
    room = float(np.ptp(points[:, 0]))
    for name in names:
        (width, height), _ = cv2.getTextSize(name, cv2.FONT_HERSHEY_SIMPLEX, size, 1)
        if width < room:
            low = points.mean(axis=0) + np.array([-width / 2, height / 2])
            place = (round(float(low[0])), round(float(low[1])))
            for colour, line in ((BLACK, 3), (WHITE, 1)):
                cv2.putText(image, name, place, cv2.FONT_HERSHEY_SIMPLEX, size, colour, line, cv2.LINE_AA)
            return
