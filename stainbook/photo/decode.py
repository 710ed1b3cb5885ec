"""Files to pictures: JPEG, PNG and TIFF by what they hold, anything else through LibRaw.

The one place where EXIF orientation is applied. Colour is read from full decodes alone: reduced ones average encoded
values, and previews inside a raw file are the maker's rendering.
"""

from __future__ import annotations

import io
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from stainbook.errors import FileError
from stainbook.inside import check_inside
from stainbook.language import say
from stainbook.photo.metadata import computed, orientation, read_shot, unheard
from stainbook.photo.orientation import turned
from stainbook.photo.picture import Picture, srgb_curves
from stainbook.photo.profiles import profile_curves, profile_name

if TYPE_CHECKING:
    from PIL.Image import Image

MAX_BYTES = 512 * 2**20
MAX_PIXELS = 110_000_000  # the largest cameras of the day; 8 bits of it are 330 MB
SMALLEST = 32  # pixels a side
WHAT = say("a picture: JPEG, PNG, TIFF, DNG or camera raw")
COMPUTED = say(
    "the camera put this picture together or evened it out, as its file says: take a raw file, or put a tab of known "
    "colour beside the piece"
)
_KNOWN = {b"\xff\xd8\xff": "JPEG", b"\x89PNG\r\n\x1a\n": "PNG", b"II*\x00": "TIFF", b"MM\x00*": "TIFF"}
_REFUSED = {
    b"GIF8": say("a GIF"), b"RIFF": say("a WebP"), b"BM": say("a BMP"), b"%PDF": say("a PDF"),
    b"PK\x03\x04": say("a zip archive"),
}  # fmt: skip
_CFA, _LINEAR_RAW = 32803, 34892  # photometric interpretations of DNG
_SUBFILES, _PHOTOMETRIC, _DNG_VERSION = 330, 262, 50706


def read_picture(path: Path | str, *, encoding: str = "auto", brought: bytes | None = None) -> Picture:
    """Decode a picture in full, the way up that it is seen.

    encoding : ``linear`` or ``srgb`` where that is known; ``auto``: its profile, else what its kind commonly is
    brought : what the file holds, where it was brought as bytes; ``path`` is then its name in messages

    Raises
    ------
    FileError
        For a file that is no such picture, damaged, too large, animated, or in colours that are not RGB.

    >>> from stainbook.photo.preview import clean_jpeg
    >>> found = read_picture("shot.jpg", brought=clean_jpeg(np.full((40, 60, 3), 128, np.uint8)))
    >>> found.size, found.encoding
    ((60, 40), 'srgb')
    """
    path = Path(path)
    data = _checked(_read(path) if brought is None else brought, path)
    kind = next((name for mark, name in _KNOWN.items() if data.startswith(mark)), None)
    refused = next((name for mark, name in _REFUSED.items() if data.startswith(mark)), None)
    if refused:
        raise FileError(path, refused, WHAT, hint=say("export the original anew"))
    if data[4:8] == b"ftyp" and data[8:11] in (b"hei", b"hev", b"mif", b"msf", b"avi"):
        brand = data[8:12].decode("latin-1").strip()
        raise FileError(
            path, say("a HEIF or AVIF (brand {brand})", brand=brand), WHAT, hint=say("set the camera to JPEG or raw")
        )
    if kind is None or (kind == "TIFF" and _is_raw(data)):
        from stainbook.photo.raw import read_raw

        if encoding == "srgb":
            raise FileError(path, say("a raw file with encoding srgb"), say("encoding linear or auto for raw files"))
        return read_raw(path, data)
    return _decoded(path, data, kind, encoding)


def _read(path: Path) -> bytes:
    check_inside(path)
    try:
        if path.is_dir() or (path.exists() and not path.is_file()):
            raise FileError(path, say("a folder or device"), WHAT, hint=say("give the file itself"))
        if path.stat().st_size > MAX_BYTES:
            raise FileError(path, say("more than {megabytes} MB", megabytes=MAX_BYTES // 2**20), WHAT)
        data = path.read_bytes()
    except FileNotFoundError as error:
        raise FileError(path, say("no such file"), WHAT, hint=say("check the name and the folder")) from error
    except (OSError, ValueError) as error:
        raise FileError(
            path, say("that it cannot be read ({reason})", reason=getattr(error, "strerror", None) or error), WHAT
        ) from error
    return data


def _checked(data: bytes, path: Path) -> bytes:
    if not data:
        raise FileError(path, say("an empty file"), WHAT)
    if len(data) > MAX_BYTES:
        raise FileError(path, say("more than {megabytes} MB", megabytes=MAX_BYTES // 2**20), WHAT)
    return data


def _is_raw(data: bytes) -> bool:
    """A TIFF that is a DNG or another camera's raw: it says so, or its sensor data lie in a sub-file."""
    tags = _tiff(data)
    return tags is not None and (
        _DNG_VERSION in tags or _SUBFILES in tags or tags.get(_PHOTOMETRIC) in (_CFA, _LINEAR_RAW)
    )


def _tiff(data: bytes) -> Any | None:
    from PIL import TiffImagePlugin

    try:
        directory = TiffImagePlugin.ImageFileDirectory_v2(data[:8])
        stream = io.BytesIO(data)
        stream.seek(directory.next)
        with unheard():
            directory.load(stream)
    except Exception:  # Pillow raises whatever a broken directory leads to; the decoder tells it better
        return None
    return directory


def _decoded(path: Path, data: bytes, kind: str, encoding: str) -> Picture:
    header = _header(path, data, kind)
    stored = _pixels(path, data, kind, header)
    exif = _exif(header)
    pixels = turned(stored, 1 if kind == "TIFF" else orientation(exif))  # OpenCV turns TIFF, whatever it is told
    profile = header.info.get("icc_profile") or None
    levels = 65536 if pixels.dtype == np.uint16 else 256
    curves, found, notes = _curves(profile, kind, pixels, levels, encoding)
    return Picture(
        pixels,
        found,
        curves,
        profile_name(profile) if profile else None,
        read_shot(exif),
        source=str(path),
        notes=(*notes, COMPUTED) if computed(exif) else notes,
        computed=computed(exif),
    )


def _exif(header: Image) -> Any:
    from PIL import Image

    try:
        with unheard():
            return header.getexif()
    except Exception:  # data about the picture that are damaged leave the picture as it is
        return Image.Exif()


def _header(path: Path, data: bytes, kind: str) -> Image:
    """The picture's header, checked before a pixel is decoded."""
    from PIL import Image

    try:
        with unheard():  # of its own limit on pixels too; ours is below
            header = Image.open(io.BytesIO(data), formats=[kind])
            pages = getattr(header, "n_frames", 1)  # looks for each of them, and any may be damaged
    except Image.DecompressionBombError as error:
        claimed = re.search(r"\d+", str(error))  # Pillow stops at 179 million pixels and keeps the size to itself
        raise _too_large(path, int(claimed[0]) if claimed else 2 * MAX_PIXELS) from error
    except Exception as error:  # Pillow's plugins raise many kinds
        raise _damaged(path, kind) from error
    width, height = header.size
    if width * height > MAX_PIXELS:
        raise _too_large(path, width * height)
    if min(width, height) < SMALLEST:
        raise FileError(
            path,
            say("{width} x {height} pixels", width=width, height=height),
            say("at least {least} a side", least=SMALLEST),
        )
    if pages > 1 and kind != "JPEG":
        raise FileError(
            path,
            say("{n} pages or frames", n=pages),
            say("one picture"),
            hint=say("save the one that is meant"),
        )
    if header.mode in ("CMYK", "YCCK"):
        raise FileError(path, "CMYK", "RGB", hint=say("take the camera's original, not a print file"))
    if header.mode not in ("RGB", "RGBA", "I;16", "I;16B", "L", "LA"):
        raise FileError(path, say("pixels of mode {mode}", mode=header.mode), say("RGB of 8 or 16 bits"))
    if header.mode in ("L", "LA", "I;16", "I;16B"):
        raise FileError(path, say("a grey picture"), say("RGB of 8 or 16 bits"))
    return header


def _too_large(path: Path, pixels: int) -> FileError:
    """Refused, not read smaller: corners and zones are drawn in the picture's own pixels."""
    return FileError(
        path,
        say("a picture of {n} megapixels", n=round(pixels / 1e6)),
        say("at most {n}", n=round(MAX_PIXELS / 1e6)),
        hint=say("set the camera to 50 megapixels or fewer"),
    )


def _pixels(path: Path, data: bytes, kind: str, header: Image) -> NDArray[Any]:
    """RGB (H, W, 3) of 8 or 16 bits as the file holds them, not turned; full transparency is refused."""
    import cv2

    if _truncated(data, kind):
        raise _damaged(path, kind)
    # asked for RGB of any depth, OpenCV 5.0 gives black for TIFF of 16 bits
    how = cv2.IMREAD_COLOR_RGB if kind == "JPEG" else cv2.IMREAD_UNCHANGED
    try:
        found = cv2.imdecode(np.frombuffer(data, np.uint8), how | cv2.IMREAD_IGNORE_ORIENTATION)
    except cv2.error as error:
        raise _damaged(path, kind) from error
    if found is None or found.ndim != 3 or found.shape[1::-1] != header.size:
        raise _damaged(path, kind)
    if found.dtype not in (np.uint8, np.uint16):
        raise FileError(path, say("pixels of {kind}", kind=found.dtype), say("RGB of 8 or 16 bits"))
    if kind == "JPEG":
        return found
    if found.shape[2] == 4 and found[..., 3].min() < (65535 if found.dtype == np.uint16 else 255):
        raise FileError(
            path, say("transparent parts"), say("a picture without them"), hint=say("take the camera's original")
        )
    return found[..., 2::-1]


def _truncated(data: bytes, kind: str) -> bool:
    """Whether the data end before the picture does; decoders fill up with grey and say nothing."""
    if kind == "JPEG":
        return data.rfind(b"\xff\xd9") < data.rfind(b"\xff\xda")  # no end of image after the last start of scan
    return kind == "PNG" and b"IEND" not in data[-65536:]


def _curves(
    profile: bytes | None, kind: str, pixels: NDArray[Any], levels: int, encoding: str
) -> tuple[NDArray[np.float64] | None, str, tuple[str, ...]]:
    """Transfer curves, the encoding they stand for, and what to say about it."""
    if encoding == "linear":
        return None, "linear", ()
    curves = profile_curves(profile, levels) if profile else None
    if curves is not None:
        straight = float(np.abs(curves - np.linspace(0, 1, levels)[:, np.newaxis]).max()) < 0.01
        return (None, "linear", ()) if straight and encoding == "auto" else (curves, "srgb", ())
    notes = (say("the colour profile holds no simple curves; sRGB is assumed"),) if profile else ()
    if encoding == "auto" and not profile and kind == "TIFF" and pixels.dtype == np.uint16:
        return None, "judge", ()
    return srgb_curves(levels), "srgb", notes


def _damaged(path: Path, kind: str) -> FileError:
    return FileError(path, say("a damaged {kind}", kind=kind), WHAT, hint=say("copy it from the card again"))
