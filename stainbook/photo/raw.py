"""Camera raw and DNG through LibRaw, as linear camera RGB: no balance, no matrix, no curve, no brightening."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np

from stainbook.errors import FileError
from stainbook.language import say
from stainbook.photo.orientation import turned
from stainbook.photo.picture import Picture, Shot

MAX_PIXELS = 110_000_000
_EXIF_TURN = {3: 3, 5: 8, 6: 6}  # LibRaw's flips as EXIF orientations
WHAT = say("a picture: JPEG, PNG, TIFF, DNG or camera raw")


def read_raw(path: Path, data: bytes) -> Picture:
    """Decode sensor data; the maker's embedded preview is never looked at.

    Raises
    ------
    FileError
        For what LibRaw does not know or cannot decode, sensors of other than three colours, too many pixels.
    """
    import rawpy

    try:
        with rawpy.imread(io.BytesIO(data)) as raw:
            sizes = raw.sizes
            if sizes.raw_width * sizes.raw_height > MAX_PIXELS:
                raise FileError(
                    path,
                    say("{width} x {height} pixels", width=sizes.raw_width, height=sizes.raw_height),
                    say("at most {most:,} in all", most=MAX_PIXELS),
                )
            if raw.num_colors != 3:
                raise FileError(path, say("a sensor of {n} colours", n=raw.num_colors), say("one of three"))
            turn = _EXIF_TURN.get(sizes.flip, 1)
            pixels = raw.postprocess(
                gamma=(1, 1),
                no_auto_bright=True,  # else the picture's own brightness scales it
                output_bps=16,
                use_camera_wb=False,
                use_auto_wb=False,
                user_wb=[1.0, 1.0, 1.0, 1.0],  # else daylight multipliers
                output_color=rawpy.ColorSpace.raw,
                adjust_maximum_thr=0.0,  # else bright pictures are scaled in silence
                demosaic_algorithm=rawpy.DemosaicAlgorithm.LINEAR,
                highlight_mode=rawpy.HighlightMode.Clip,
                user_flip=0,
                half_size=False,
            )
            matrix = np.asarray(raw.rgb_xyz_matrix, dtype=np.float64)[:3]
    except rawpy.LibRawError as error:
        reason = str(error.args[0].decode() if error.args and isinstance(error.args[0], bytes) else error).strip()
        raise FileError(
            path, say("data that no decoder knows ({reason})", reason=reason or say("unknown format")), WHAT
        ) from error
    return Picture(
        turned(pixels, turn),
        "linear",
        shot=_shot(data),
        camera_matrix=matrix if matrix.any() else None,
        source=str(path),
        is_raw=True,
    )


def _shot(data: bytes) -> Shot:
    """Camera and exposure where the raw file is a TIFF that Pillow can read the directory of."""
    from PIL import Image

    from stainbook.photo.metadata import read_shot, unheard

    exif = Image.Exif()
    try:
        with unheard():
            exif.load(b"Exif\x00\x00" + data[: 4 * 2**20])
    except Exception:  # not a TIFF, or its directory is elsewhere: nothing is kept then
        return Shot()
    return read_shot(exif)
