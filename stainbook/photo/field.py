"""How the light falls over the frame, from a shot of a plain grey card that fills it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stainbook.errors import InputError
from stainbook.language import say
from stainbook.photo.picture import Picture

Floats = NDArray[np.float64]

BLOCKS = 48  # over the longer side: light changes slowly, dust and grain do not
LEAST = 0.02  # of linear full scale: below it the frame says nothing
SAME_SHAPE = 0.01  # relative difference of the aspect ratios of two shots of one camera


@dataclass(frozen=True, slots=True, eq=False)
class LightField:
    """Light (h, w, 3) over the frame in coarse blocks, about 1, for a picture of ``size`` pixels."""

    blocks: Floats
    size: tuple[int, int]

    def over(self, box: tuple[int, int, int, int], step: int = 1) -> Floats:
        """Light (h, w, 3) on every step-th pixel of a box left, top, right, bottom, straight between the blocks."""
        x0, y0, x1, y1 = box
        rows, columns = self.blocks.shape[:2]
        along = _between(self.blocks, (np.arange(y0, y1, step) + 0.5) * rows / self.size[1] - 0.5, 0)
        return _between(along, (np.arange(x0, x1, step) + 0.5) * columns / self.size[0] - 0.5, 1)

    def at(self, pixels: NDArray[np.int64]) -> Floats:
        """Light (…, 3) on single pixels (…, 2), of the block that each lies in."""
        rows, columns = self.blocks.shape[:2]
        row = np.clip(pixels[..., 1] * rows // self.size[1], 0, rows - 1)
        column = np.clip(pixels[..., 0] * columns // self.size[0], 0, columns - 1)
        return np.asarray(self.blocks[row, column])


def light_field(frame: Picture, size: tuple[int, int]) -> LightField:
    """Give the light on a grey frame, for pictures of ``size`` (width, height) pixels.

    Raises
    ------
    InputError : for a frame of another shape than the picture, clipped, or too dark

    >>> falls = np.linspace(0.6, 0.4, 400)[:, np.newaxis] + np.zeros((200, 400, 3))
    >>> blocks = light_field(Picture(np.uint16(falls * 65535), "linear"), picture.size).blocks
    >>> blocks.shape, [round(float(one), 2) for one in blocks[0, [0, -1], 1]]
    ((24, 48, 3), [1.2, 0.8])
    """
    width, height = frame.size
    if abs(width / height * size[1] / size[0] - 1.0) > SAME_SHAPE:
        raise InputError(
            say(
                "{source}: found {width} x {height} pixels, expected the picture's shape, {expected_width} x "
                "{expected_height}; shoot the grey frame with the same camera and framing",
                source=frame.source,
                width=width,
                height=height,
                expected_width=size[0],
                expected_height=size[1],
            )
        )
    columns = max(1, round(BLOCKS * min(1.0, width / height)))
    rows = max(1, round(BLOCKS * min(1.0, height / width)))
    blocks = _block_means(frame, rows, columns)
    if blocks.min() < LEAST or np.mean(blocks > 0.97) > 0:
        found = say("too dark") if blocks.min() < LEAST else say("clipped")
        raise InputError(
            say(
                "{source}: found a grey frame that is {found}, expected mid grey all over; expose again",
                source=frame.source,
                found=found,
            )
        )
    return LightField(blocks / blocks.mean(axis=(0, 1)), size)


def _block_means(frame: Picture, rows: int, columns: int) -> Floats:
    """Means of blocks of linear values; a thin sample of each is enough."""
    height, width = frame.pixels.shape[:2]
    ys, xs = np.linspace(0, height, rows + 1).astype(int), np.linspace(0, width, columns + 1).astype(int)
    means = np.empty((rows, columns, 3))
    for i in range(rows):
        for j in range(columns):
            part = frame.pixels[ys[i] : ys[i + 1], xs[j] : xs[j + 1]]
            step = max(1, int(np.sqrt(part.shape[0] * part.shape[1] / 900)))
            means[i, j] = np.median(frame.linear(part[::step, ::step]).reshape(-1, 3), axis=0)
    return means


def _between(values: Floats, position: Floats, axis: int) -> Floats:
    count = values.shape[axis]
    position = np.clip(position, 0, count - 1)
    low = np.minimum(position.astype(int), max(count - 2, 0))
    share = np.expand_dims(position - low, tuple(range(1, values.ndim)))
    moved = np.moveaxis(values, axis, 0)
    return np.asarray(np.moveaxis(moved[low] * (1 - share) + moved[np.minimum(low + 1, count - 1)] * share, 0, axis))
