"""A photo at the desk: looked at, its target found, zones drawn on it, measured; nothing stays on the disk."""

from __future__ import annotations

import base64
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, TypeVar

from stainbook.book import Book
from stainbook.errors import InputError, StainbookError, StoppedError, message
from stainbook.files import NamedFile
from stainbook.files.scene import Scene, SceneTab, SceneZone, SecondShot, drawn_for, format_scene, read_scene
from stainbook.inside import temporary
from stainbook.language import say, with_names
from stainbook.match import UNWATCHED, Watch
from stainbook.photo.decode import read_picture
from stainbook.photo.detect import find_target
from stainbook.photo.picture import Picture
from stainbook.photo.preview import clean_jpeg, preview
from stainbook.photo.shot_check import ShotCheck, check_shot
from stainbook.photo.target import ColourChart
from stainbook.records import TEETH, LabRef, LabValues, Viewing, tissue_of
from stainbook.work.case.current_case import What
from stainbook.work.documents.photo_schemas import PhotoResult
from stainbook.work.photo.photo_colours import PhotoAsked, frame_light, photo
from stainbook.work.photo.photo_store import LONGEST, copy_of, outlined_copy, store_zones
from stainbook.work.photo.photo_target import read_target
from stainbook.work.reading.dropped import Dropped

__all__ = [
    "TAB", "Measured", "OpenedPhoto", "ShotCheck", "ShownPhoto", "decoded", "drafted", "earlier", "look", "measured",
    "scene_text", "store",
]  # fmt: skip

T = TypeVar("T")
_JPEG = "data:image/jpeg;base64,"
TAB = "tab"  # the outline of a shade tab among those of zones


@dataclass(frozen=True, slots=True)
class ShownPhoto:
    """What to draw on: a JPEG as a data URL, the picture's size, the target's corners where they were found; and how
    well it was taken."""

    source: str
    width: int
    height: int
    corners: tuple[tuple[float, float], ...] | None
    camera: str | None
    check: ShotCheck

    @property
    def jpeg(self) -> bytes:
        """The reduced picture that is shown, which is what the book keeps of it too."""
        return base64.b64decode(self.source.removeprefix(_JPEG))


@dataclass(frozen=True, slots=True)
class Measured:
    """Colours, and the map of ΔE00 over the zones as PNG: since before where there was one, else to the targets.

    ``side`` is a JPEG of both pictures side by side, where there was one before.
    """

    result: PhotoResult
    map: bytes | None = None
    side: bytes | None = None


@dataclass(frozen=True, slots=True)
class OpenedPhoto:
    """Everything on the desk; ``scene`` names no files, they are those dropped."""

    image: Dropped
    table: Dropped
    scene: Scene
    flat: Dropped | None = None
    second: Dropped | None = None

    @property
    def files(self) -> dict[str, Dropped]:
        """What was dropped, by what it is."""
        named = {"image": self.image, "reference": self.table, "flat": self.flat, "second": self.second}
        return {name: dropped for name, dropped in named.items() if dropped is not None}


def look(desk: OpenedPhoto, *, watch: Watch = UNWATCHED) -> ShownPhoto:
    """Decode a picture, look for its target, and check the shot.

    Raises InputError for files that cannot be used, StoppedError when ``watch`` is to stop.
    """
    watch.step("look", 0, 2)
    picture, target = decoded(desk)
    watch.step("look", 1, 2)
    light = None
    if desk.flat:
        with temporary() as place:
            light = _named(desk, lambda: frame_light(_laid_out(Path(place), desk)[1], picture))
    found = find_target(picture, target)
    watch.go_on()
    corners = found.corners if found else None
    small, _ = preview(picture, LONGEST)
    width, height = picture.size
    return ShownPhoto(
        _JPEG + base64.b64encode(clean_jpeg(small)).decode("ascii"),
        width,
        height,
        tuple((float(x), float(y)) for x, y in corners) if corners is not None else None,
        picture.shot.camera,
        check_shot(picture, desk.scene.corners or corners, target, light),
    )


def decoded(desk: OpenedPhoto) -> tuple[Picture, ColourChart]:
    """The picture and its target; raises InputError for files that cannot be used."""
    table = NamedFile(_plain(desk.table.name), desk.table.data)
    target, _ = _named(desk, lambda: read_target(desk.scene, table))
    return _picture(desk), target


def _picture(desk: OpenedPhoto) -> Picture:
    image, name = desk.image, _plain(desk.image.name)
    return _named(desk, lambda: read_picture(name, encoding=desk.scene.encoding, brought=image.data))


def measured(
    book: Book | None,
    desk: OpenedPhoto,
    wish: PhotoAsked,
    before: OpenedPhoto | None = None,
    *,
    mapped: bool = False,
    watch: Watch = UNWATCHED,
) -> Measured:
    """The colours of the zones on the desk, and their change since another picture; raises as `photo`."""
    with temporary() as place:
        now = _written(Path(place) / "now", desk)
        then = _written(Path(place) / "before", before) if before else None
        drawn = Path(place) / "map.png" if mapped else None
        side = Path(place) / "side.jpg" if before else None
        wish = replace(wish, before=then, map=drawn, side=side, map_change=before is not None)
        result = _named(desk, lambda: photo(book, *now, wish, watch=watch), before)
        return Measured(result, drawn.read_bytes() if drawn else None, side.read_bytes() if side else None)


def earlier(image: Dropped, table: Dropped, flat: Dropped | None, scene: Dropped) -> OpenedPhoto:
    """An earlier picture with the scene.yaml that was kept of it; raises InputError for a scene that cannot be used."""
    try:
        found = read_scene(NamedFile(_plain(scene.name), scene.data))
    except StainbookError as error:
        raise InputError(message(error)) from error
    if found.flat and flat is None:
        raise InputError(
            say("{scene} names a grey frame, {file}; bring it too", scene=scene.name, file=found.flat.name)
        )
    return OpenedPhoto(image, table, replace(found, second=None), flat if found.flat else None)


def _written(place: Path, desk: OpenedPhoto) -> tuple[Path, Path]:
    place.mkdir()
    image, scene = _laid_out(place, desk)
    path = place / "scene.yaml"
    path.write_text(format_scene(scene), encoding="utf-8")
    return image, path


def store(
    book: Book, desk: OpenedPhoto, result: PhotoResult, case: What, shown: ShownPhoto | None = None
) -> PhotoResult:
    """The usable zones of a result into the book as readings of a case, with a reduced copy of the picture.

    shown : the picture as it was looked at, so that it need not be decoded once more
    Raises InputError as `store_zones` does.
    """
    if shown is None:
        picture = _picture(desk)
        scene = drawn_for(desk.scene, picture.size)
        copy = copy_of(picture, scene)
    else:
        scene = drawn_for(desk.scene, (shown.width, shown.height))
        copy = outlined_copy(shown.jpeg, (shown.width, shown.height), scene)
    return store_zones(book, case, result, patient=scene.subject == "patient", copy=copy)


def scene_text(desk: OpenedPhoto) -> str:
    """The scene.yaml of what is on the desk, to keep beside the picture."""
    return format_scene(_naming(desk, {name: Path(_plain(one.name)) for name, one in desk.files.items()}))


def _laid_out(place: Path, desk: OpenedPhoto) -> tuple[Path, Scene]:
    """The dropped files in a folder of their own, and the scene that names them."""
    paths = {}
    for name, dropped in desk.files.items():
        (place / name).mkdir(exist_ok=True)
        paths[name] = place / name / _plain(dropped.name)
        paths[name].write_bytes(dropped.data)
    return paths["image"], _naming(desk, paths)


def _naming(desk: OpenedPhoto, paths: Mapping[str, Path]) -> Scene:
    second = desk.scene.second
    if second is not None:
        second = replace(second, image=paths["second"])
    return replace(desk.scene, reference=paths["reference"], flat=paths.get("flat"), second=second)


def _plain(name: str) -> str:
    """A file's name without its folders and without what a file system minds."""
    kept = "".join(mark for mark in Path(name).name if mark.isalnum() or mark in "._- ")
    return kept.strip(". ")[-80:] or "file"


def _named(desk: OpenedPhoto, run: Callable[[], T], other: OpenedPhoto | None = None) -> T:
    """Run; what goes wrong is told without the folder that nobody knows of."""
    try:
        return run()
    except StoppedError:
        raise
    except StainbookError as error:
        names = [_plain(one.name) for each in (desk, other) if each for one in each.files.values()]
        raise InputError(with_names(message(error), lambda said: _without_folder(said, names))) from error


def _without_folder(text: str, names: Sequence[str]) -> str:
    places = [place for name in names if (place := text.find(name)) > 0]
    return text[min(places) :] if places else text


def drafted(
    image: Dropped,
    table: Dropped,
    flat: Dropped | None,
    given: Mapping[str, Any],
    corners: Sequence[Sequence[float]] | None,
    zones: Mapping[str, Sequence[Sequence[float]]],
    second: Dropped | None = None,
) -> OpenedPhoto:
    """The desk with what was typed and drawn; zones are named as ``11 cervical``, a shade tab ``tab``.

    given : rows, columns, patch_fill, subject, encoding, where there is a second shot its filter and, where they were
        tapped, its corners, where it is known the picture's size, and of a tab L*, a*, b*, light and observer
    """
    drawn = []
    for name, polygon in zones.items():
        if name == TAB:
            continue
        tooth, zone = name.split(" ", 1)
        if int(tooth) not in TEETH:
            raise InputError(
                say("found tooth {tooth}, expected a number in ISO 3950, 11 to 48 or 51 to 85", tooth=tooth)
            )
        drawn.append(SceneZone(int(tooth), zone, tissue_of(zone) or "tooth", _points(polygon)))
    tapped = given.get("second_corners")
    scene = Scene(
        Path(),
        int(given["rows"]),
        int(given["columns"]),
        tuple(drawn),
        encoding=given["encoding"],
        subject=given["subject"],
        corners=_points(corners) if corners else None,
        patch_fill=float(given["patch_fill"]),
        picture=given.get("picture"),
        second=SecondShot(Path(), str(given["filter"]), _points(tapped) if tapped else None) if second else None,
        tabs=_tabs(given.get(TAB), zones.get(TAB)),
    )
    return OpenedPhoto(image, table, scene, flat, second)


def _tabs(known: tuple[LabValues, str, int] | None, polygon: Sequence[Sequence[float]] | None) -> tuple[SceneTab, ...]:
    """The tab, where both its colour and its outline are given."""
    if known is None or polygon is None:
        return ()
    lab, illuminant, observer = known
    return (SceneTab(_points(polygon), LabRef(lab, Viewing(illuminant, observer))),)


def _points(points: Sequence[Sequence[float]]) -> tuple[tuple[float, float], ...]:
    return tuple((float(x), float(y)) for x, y in points)
