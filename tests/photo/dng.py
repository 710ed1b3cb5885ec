"""A DNG of one strip, the least that LibRaw takes: for tests of the raw path."""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np

_FORMATS = {1: "B", 2: "s", 3: "H", 4: "I", 5: "II", 10: "ii"}
ONE = (1, 1)


def write_dng(
    path: Path, mosaic: np.ndarray, *, white: int = 4095, black: int = 256, orientation: int = 1, preview: bytes = b""
) -> Path:
    """Write an RGGB mosaic (H, W) of 16 bits; even sides. ``preview`` : a JPEG that the maker puts beside it."""
    height, width = mosaic.shape
    identity = [1, 1, 0, 1, 0, 1, 0, 1, 1, 1, 0, 1, 0, 1, 0, 1, 1, 1]
    tags: list[tuple[int, int, list | bytes]] = [
        (254, 4, [0]), (256, 4, [width]), (257, 4, [height]), (258, 3, [16]), (259, 3, [1]), (262, 3, [32803]),
        (271, 2, b"Bench\0"), (272, 2, b"Box One\0"), (273, 4, [0]), (274, 3, [orientation]), (277, 3, [1]),
        (278, 4, [height]), (279, 4, [mosaic.size * 2]), (33421, 3, [2, 2]), (33422, 1, [0, 1, 1, 2]),
        (50706, 1, [1, 4, 0, 0]), (50707, 1, [1, 2, 0, 0]), (50708, 2, b"Bench Box One\0"), (50714, 3, [black]),
        (50717, 3, [white]), (50721, 10, identity), (50728, 5, [1, 1, 1, 1, 1, 1]), (50778, 3, [21]),
    ]  # fmt: skip
    path.write_bytes(_tiff(tags, mosaic.astype("<u2").tobytes(), preview))
    return path


def _tiff(tags: list, strip: bytes, preview: bytes = b"") -> bytes:
    start = 8 + 2 + 12 * len(tags) + 4
    directory, extra = b"", b""
    for number, kind, value in tags:
        if isinstance(value, bytes):
            data, count = value, len(value)
        else:
            data = struct.pack(f"<{len(value)}{_FORMATS[kind][0]}", *value)
            count = len(value) // (2 if kind in (5, 10) else 1)
        if number == 273:
            place = len(directory) + 8
            data = b"\0\0\0\0"
        if len(data) <= 4:
            field = data.ljust(4, b"\0")
        else:
            field = struct.pack("<I", start + len(extra))
            extra += data + b"\0" * (len(data) % 2)
        directory += struct.pack("<HHI", number, kind, count) + field
    offset = struct.pack("<I", start + len(extra))
    directory = directory[:place] + offset + directory[place + 4 :]
    head = b"II*\0" + struct.pack("<I", 8) + struct.pack("<H", len(tags))
    end = start + len(extra) + len(strip)
    after = struct.pack("<I", end if preview else 0)
    return head + directory + after + extra + strip + (_preview(end, preview) if preview else b"")


def _preview(at: int, jpeg: bytes) -> bytes:
    """A second directory, at that place in the file, with a JPEG of 128 x 96 behind it."""
    tags = [(254, 4, 1), (256, 4, 128), (257, 4, 96), (259, 3, 6), (262, 3, 6), (513, 4, 0), (514, 4, len(jpeg))]
    size = 2 + 12 * len(tags) + 4
    rows = b"".join(
        struct.pack("<HHII", number, kind, 1, at + size if number == 513 else value) for number, kind, value in tags
    )
    return struct.pack("<H", len(tags)) + rows + struct.pack("<I", 0) + jpeg


def mosaic_of(rgb: np.ndarray, *, white: int = 4095, black: int = 256) -> np.ndarray:
    """An RGGB mosaic of linear RGB (H, W, 3) on 0-1."""
    levels = np.round(black + rgb * (white - black)).astype(np.uint16)
    mosaic = levels[..., 1].copy()
    mosaic[0::2, 0::2] = levels[0::2, 0::2, 0]
    mosaic[1::2, 1::2] = levels[1::2, 1::2, 2]
    return mosaic
