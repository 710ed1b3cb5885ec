"""What is kept of a picture's EXIF data: camera, lens, exposure, which way is up. The rest is dropped on reading."""

from __future__ import annotations

import contextlib
import warnings
from collections.abc import Iterator
from typing import Any

from stainbook.photo.picture import Shot

MAKE, MODEL, ORIENTATION, EXIF_BLOCK = 0x010F, 0x0110, 0x0112, 0x8769
RENDERED, COMPOSITE = 0xA401, 0xA460  # EXIF 2.32: 0 a normal process; 2 and 3 an image put together from several
EXPOSURE, APERTURE, ISO, FOCAL, LENS, TAKEN = 0x829A, 0x829D, 0x8827, 0x920A, 0xA434, 0x9003


@contextlib.contextmanager
def unheard() -> Iterator[None]:
    """Pillow's warnings about damaged data stay unheard: what is unreadable is left out, or told in our own line."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


def read_shot(exif: Any) -> Shot:
    """Camera, lens and exposure of Pillow's EXIF data; whatever is unreadable is left out."""
    block: Any = {}
    with contextlib.suppress(Exception), unheard():  # a broken block of EXIF data is not the picture's fault
        block = exif.get_ifd(EXIF_BLOCK)
    make, model = _text(exif.get(MAKE)), _text(exif.get(MODEL))
    camera = (
        model if model and make and model.lower().startswith(make.lower()) else " ".join(filter(None, (make, model)))
    )
    return Shot(
        camera=camera or None,
        lens=_text(block.get(LENS)),
        exposure_s=_number(block.get(EXPOSURE)),
        aperture=_number(block.get(APERTURE)),
        iso=_number(block.get(ISO)),
        focal_mm=_number(block.get(FOCAL)),
        taken_at=_text(block.get(TAKEN)),
    )


def computed(exif: Any) -> bool:
    """Whether a picture's EXIF data say that a process of the camera's own made it, or that it is several in one.

    Cameras write other marks than 0 for a rendering where exposures were fused and places evened out.
    """
    try:
        block = exif.get_ifd(EXIF_BLOCK)
        rendered, composite = block.get(RENDERED, 0), block.get(COMPOSITE, 0)
    except Exception:  # a broken block of EXIF data is not the picture's fault
        return False
    return (isinstance(rendered, int) and rendered > 0) or composite in (2, 3)


def orientation(exif: Any) -> int:
    """The EXIF orientation, 1 to 8; 1 for anything else."""
    value = exif.get(ORIENTATION)
    return value if isinstance(value, int) and 1 <= value <= 8 else 1


def _text(value: Any) -> str | None:
    if isinstance(value, bytes):
        value = value.decode("latin-1")
    if not isinstance(value, str):
        return None
    return "".join(mark for mark in value if mark.isprintable()).strip()[:80] or None


def _number(value: Any) -> float | None:
    if isinstance(value, tuple):
        value = value[0] if value else None
    try:
        number = float(value)
    except (TypeError, ValueError, ZeroDivisionError):
        return None
    return number if 0.0 < number < 1e7 else None
