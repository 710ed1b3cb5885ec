"""Transfer curves out of an ICC profile, so that values become light without going through another colour space.

Only the curves are taken: what the primaries are does not matter, since the target tells what the channels see.
"""

from __future__ import annotations

import struct

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_CHANNELS = (b"rTRC", b"gTRC", b"bTRC")
_MOST_TAGS = 200
_PARAMETERS = (1, 3, 4, 5, 7)  # of parametric curves of type 0-4, ICC.1:2010, 10.16


def profile_curves(data: bytes, levels: int) -> Floats | None:
    """Curves (levels, 3) from encoded to linear, 0-1, or None for a profile that has none (tables, other spaces)."""
    try:
        if data[16:20] != b"RGB " or data[36:40] != b"acsp":
            return None
        tags = _tags(data)
        curves = [_curve(data[slice(*tags[name])], np.linspace(0.0, 1.0, levels)) for name in _CHANNELS]
    except (struct.error, KeyError, ValueError, IndexError):
        return None
    found = np.column_stack(curves)
    return found if np.all(np.isfinite(found)) and np.all(np.diff(found, axis=0) >= -1e-9) else None


def profile_name(data: bytes) -> str | None:
    """The profile's own description, printable and short."""
    try:
        low, high = _tags(data)[b"desc"]
        block = data[low:high]
        if block[:4] == b"mluc":
            length, offset = struct.unpack(">II", block[20:28])
            text = block[offset : offset + length].decode("utf-16-be", "replace")
        else:
            (length,) = struct.unpack(">I", block[8:12])
            text = block[12 : 12 + length].decode("latin-1")
    except (struct.error, KeyError, ValueError):
        return None
    cleaned = "".join(mark for mark in text if mark.isprintable()).strip()
    return cleaned[:60] or None


def _tags(data: bytes) -> dict[bytes, tuple[int, int]]:
    (count,) = struct.unpack(">I", data[128:132])
    if count > _MOST_TAGS:
        raise ValueError("more tags than a profile has")
    rows = (struct.unpack(">4sII", data[132 + 12 * i : 144 + 12 * i]) for i in range(count))
    return {name: (offset, offset + length) for name, offset, length in rows}


def _curve(block: bytes, x: Floats) -> Floats:
    if block[:4] == b"curv":
        (count,) = struct.unpack(">I", block[8:12])
        if count == 0:
            return x
        values = np.frombuffer(block[12 : 12 + 2 * count], dtype=">u2").astype(np.float64)
        if count == 1:
            return np.asarray(x ** (values[0] / 256.0))
        return np.interp(x, np.linspace(0.0, 1.0, count), values / 65535.0)
    if block[:4] == b"para":
        (kind,) = struct.unpack(">H", block[8:10])
        numbers = np.frombuffer(block[12 : 12 + 4 * _PARAMETERS[kind]], dtype=">i4") / 65536.0
        return _parametric(kind, [float(number) for number in numbers], x)
    raise ValueError("neither a table nor a formula")


def _parametric(kind: int, numbers: list[float], x: Floats) -> Floats:
    g, a, b, c, d, e, f = (numbers + [0.0] * 7)[:7] if kind else (numbers[0], 1.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    power = np.maximum(a * x + b, 0.0) ** g
    if kind == 0:
        return np.asarray(power)
    if kind in (1, 2):
        return np.where(x >= -b / a, power + (c if kind == 2 else 0.0), c if kind == 2 else 0.0)
    return np.where(x >= d, power + (e if kind == 4 else 0.0), c * x + (f if kind == 4 else 0.0))
