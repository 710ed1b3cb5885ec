"""The one place where pixels are turned to the way up that the picture is seen."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

# EXIF orientation: mirrored left to right first, then quarter turns against the clock
_TURNS = {
    1: (False, 0), 2: (True, 0), 3: (False, 2), 4: (True, 2), 5: (True, 1), 6: (False, 3), 7: (True, 3), 8: (False, 1),
}  # fmt: skip


def turned(pixels: NDArray[Any], orientation: int) -> NDArray[Any]:
    """Pixels (H, W, 3) as seen, of pixels as stored with an EXIF orientation from 1 to 8."""
    mirrored, quarters = _TURNS[orientation]
    seen = pixels[:, ::-1] if mirrored else pixels
    return np.ascontiguousarray(np.rot90(seen, quarters))
