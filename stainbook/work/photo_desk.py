"""A photo at the desk: looked at, its target found, zones drawn on it, measured; nothing stays on the disk."""

from __future__ import annotations

import base64
import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, TypeVar

import numpy as np

from stainbook.errors import InputError, StainbookError
from stainbook.files.scene import Scene, SceneZone, format_scene
from stainbook.photo.decode import read_picture
from stainbook.photo.detect import find_target
from stainbook.photo.picture import Picture
from stainbook.photo.preview import clean_jpeg, preview
from stainbook.photo.target import Target
from stainbook.records import TEETH, tissue_of
from stainbook.work.photo import PhotoAsked, photo
from stainbook.work.photo_schemas import PhotoResult
from stainbook.work.photo_store import copy_of, store_zones
from stainbook.work.photo_target import read_target

T = TypeVar("T")
LONGEST = 1500  # pixels of what is shown; measuring uses the whole picture


@dataclass(frozen=True, slots=True)
class Dropped:
    """A file as it was dropped: its name and what it holds."""

    name: str
    data: bytes


@dataclass(frozen=True, slots=True)
class Shown:
    """What to draw on: a JPEG as a data URL, the picture's size, the target's corners where they were found."""

    source: str
    width: int
    height: int
    corners: tuple[tuple[float, float], ...] | None
    camera: str | None
    clipped: float  # share of pixels at full scale
    brightest: float  # 99.5th percentile as a share of full scale


@dataclass(frozen=True, slots=True)
class Desk:
    """Everything on the desk; ``scene`` names no files, they are those dropped."""

    image: Dropped
    table: Dropped
    scene: Scene
    flat: Dropped | None = None


def look(desk: Desk) -> Shown:
    """Decode a picture and look for its target; raises InputError for files that cannot be used."""
    with tempfile.TemporaryDirectory() as place:
        picture, target = decoded(Path(place), desk)
    found = find_target(picture, target)
    small, _ = preview(picture, LONGEST)
    width, height = picture.size
    share = picture.pixels[::7, ::7].max(axis=-1) / picture.full
    return Shown(
        "data:image/jpeg;base64," + base64.b64encode(clean_jpeg(small)).decode("ascii"),
        width,
        height,
        tuple((float(x), float(y)) for x, y in found.corners) if found else None,
        picture.shot.camera,
        float(np.mean(share >= 0.985)),
        float(np.quantile(share, 0.995)),
    )


def decoded(place: Path, desk: Desk) -> tuple[Picture, Target]:
    """The picture and its target, by way of a folder that is there for it.

    Raises InputError for files that cannot be used.
    """
    image, scene = _laid_out(place, desk)
    target, _ = read_target(scene)
    return _named(desk.image.name, lambda: read_picture(image, encoding=scene.encoding)), target


def measured(desk: Desk, wish: PhotoAsked) -> PhotoResult:
    """The colours of the zones on the desk; raises InputError as `photo` does."""
    with tempfile.TemporaryDirectory() as place:
        image, scene = _laid_out(Path(place), desk)
        path = Path(place) / "scene.yaml"
        path.write_text(format_scene(scene), encoding="utf-8")
        return _named(desk.image.name, lambda: photo(image, path, wish))


def store(desk: Desk, result: PhotoResult, url: str | None, case: Path) -> PhotoResult:
    """The usable zones of a result into the book as readings of a case, with a reduced copy of the picture.

    Raises InputError as `store_zones` does.
    """
    with tempfile.TemporaryDirectory() as place:
        image, scene = _laid_out(Path(place), desk)
        picture = _named(desk.image.name, lambda: read_picture(image, encoding=scene.encoding))
    return store_zones(url, case, result, patient=scene.subject == "patient", copy=copy_of(picture, scene))


def scene_text(desk: Desk) -> str:
    """The scene.yaml of what is on the desk, to keep beside the picture."""
    flat = Path(_plain(desk.flat.name)) if desk.flat else None
    return format_scene(replace(desk.scene, reference=Path(_plain(desk.table.name)), flat=flat))


def _laid_out(place: Path, desk: Desk) -> tuple[Path, Scene]:
    """The dropped files in a folder of their own, and the scene that names them."""
    paths = []
    for number, dropped in enumerate((desk.image, desk.table, desk.flat)):
        if dropped is None:
            continue
        folder = place / str(number)
        folder.mkdir()
        paths.append(folder / _plain(dropped.name))
        paths[-1].write_bytes(dropped.data)
    return paths[0], replace(desk.scene, reference=paths[1], flat=paths[2] if desk.flat else None)


def _plain(name: str) -> str:
    """A file's name without its folders and without what a file system minds."""
    kept = "".join(mark for mark in Path(name).name if mark.isalnum() or mark in "._- ")
    return kept.strip(". ")[-80:] or "file"


def _named(name: str, run: Callable[[], T]) -> T:
    """Run; what goes wrong is told without the folder that nobody knows of."""
    try:
        return run()
    except StainbookError as error:
        text = str(error)
        found = text.find(name)
        raise InputError(text[found:] if found > 0 else text) from error


def drafted(
    image: Dropped,
    table: Dropped,
    flat: Dropped | None,
    given: Mapping[str, Any],
    corners: Sequence[Sequence[float]] | None,
    zones: Mapping[str, Sequence[Sequence[float]]],
) -> Desk:
    """The desk with what was typed and drawn; zones are named as ``11 cervical``.

    given : rows, columns, patch_fill, subject and encoding
    """
    drawn = []
    for name, polygon in zones.items():
        tooth, zone = name.split(" ", 1)
        if int(tooth) not in TEETH:
            raise InputError(f"found tooth {tooth}, expected a number in ISO 3950, 11 to 48 or 51 to 85")
        drawn.append(SceneZone(int(tooth), zone, tissue_of(zone) or "tooth", _points(polygon)))
    scene = Scene(
        Path(),
        int(given["rows"]),
        int(given["columns"]),
        tuple(drawn),
        encoding=given["encoding"],
        subject=given["subject"],
        corners=_points(corners) if corners else None,
        patch_fill=float(given["patch_fill"]),
    )
    return Desk(image, table, scene, flat)


def _points(points: Sequence[Sequence[float]]) -> tuple[tuple[float, float], ...]:
    return tuple((float(x), float(y)) for x, y in points)
