"""scene.yaml: what is where in a photo."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from stainbook.errors import InputError
from stainbook.files.case_zones import read_tooth
from stainbook.files.guide import zone_hint, zone_word
from stainbook.files.readings_csv import illuminant_name, observer_number
from stainbook.files.text import Source
from stainbook.files.yaml_nodes import Node, read_yaml
from stainbook.language import say, say_n
from stainbook.records import LIGHTEST, MOST_CHROMATIC, TISSUES, LabRef, Viewing, tissue_of

KEYS = (
    "encoding", "subject", "reference", "rows", "columns", "corners", "patch_fill", "flat", "zones", "tabs",
    "picture", "second",
)  # fmt: skip
ENCODINGS = ("auto", "linear", "srgb")
SUBJECTS = ("piece", "patient")
DEFAULT_FILL = 0.8
MOST_CELLS = 40  # rows or columns: the largest charts have about half
MOST_ZONES = 400
MOST_POINTS = 400
FURTHEST_PIXEL = 1e6
LONGEST_FILTER = 40  # letters of what the filter of a second shot is called
SAME_SHAPE = 0.005  # relative difference of the aspect ratios of two sizes of one picture
_ZONE_KEYS = ("tooth", "zone", "tissue", "polygon")
_SECOND_KEYS = ("image", "filter", "corners", "zones")
_TAB_KEYS = ("polygon", "L", "a", "b", "illuminant", "observer")

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class SceneZone:
    """A zone to measure and its outline in pixels."""

    tooth: int
    zone: str
    tissue: str
    polygon: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class SceneTab:
    """A shade tab of known colour and its outline in pixels."""

    polygon: tuple[Point, ...]
    colour: LabRef


@dataclass(frozen=True, slots=True)
class SecondShot:
    """The same scene through a filter: its own corners and zones where they were drawn; without zones they follow."""

    image: Path
    filter: str
    corners: tuple[Point, ...] | None = None
    zones: tuple[SceneZone, ...] = ()


@dataclass(frozen=True, slots=True)
class Scene:
    """One photo: its target, its zones, its tabs; ``corners`` None means that the target is looked for.

    ``picture`` is the width and height in pixels of the picture on which corners, zones and tabs were drawn.
    """

    reference: Path
    rows: int
    columns: int
    zones: tuple[SceneZone, ...]
    encoding: str = "auto"
    subject: str = "piece"
    corners: tuple[Point, ...] | None = None
    patch_fill: float = DEFAULT_FILL
    flat: Path | None = None
    tabs: tuple[SceneTab, ...] = ()
    picture: tuple[int, int] | None = None
    second: SecondShot | None = None
    source: str = ""


def read_scene(path: Source) -> Scene:
    r"""Read what is where in a photo; files are relative to the scene's.

    Raises
    ------
    FileError
        For anything malformed: names the file, the row and key, what was found and expected.

    >>> from stainbook.files.text import NamedFile
    >>> zone = "{tooth: 11, zone: middle, polygon: [[0, 0], [9, 0], [9, 9]]}"
    >>> text = f"reference: chart.csv\nrows: 4\ncolumns: 6\nzones: [{zone}]"
    >>> scene = read_scene(NamedFile("scene.yaml", text.encode()))
    >>> scene.zones[0].polygon, scene.encoding, scene.corners
    (((0.0, 0.0), (9.0, 0.0), (9.0, 9.0)), 'auto', None)
    """
    keys = read_yaml(path, say("a scene")).mapping(KEYS, required=("reference", "rows", "columns", "zones"))
    folder = Path(path).parent
    return Scene(
        reference=folder / keys["reference"].text(),
        rows=keys["rows"].integer(1, MOST_CELLS),
        columns=keys["columns"].integer(1, MOST_CELLS),
        zones=_zones(keys["zones"]),
        encoding=keys["encoding"].choice(ENCODINGS) if "encoding" in keys else ENCODINGS[0],
        subject=keys["subject"].choice(SUBJECTS) if "subject" in keys else SUBJECTS[0],
        corners=_corners(keys["corners"]) if "corners" in keys else None,
        patch_fill=keys["patch_fill"].number(0.2, 1.0) if "patch_fill" in keys else DEFAULT_FILL,
        flat=folder / keys["flat"].text() if "flat" in keys else None,
        tabs=tuple(map(_tab, keys["tabs"].items())) if "tabs" in keys else (),
        picture=_size(keys["picture"]) if "picture" in keys else None,
        second=_second(keys["second"], folder) if "second" in keys else None,
        source=str(path),
    )


def drawn_for(scene: Scene, size: tuple[int, int]) -> Scene:
    """Give the scene in pixels of a picture of that size: as it is, or scaled from the size it was drawn on.

    size : width and height in pixels

    Raises
    ------
    InputError : for a picture of another shape than the one drawn on

    >>> zone = SceneZone(11, "middle", "tooth", ((0.0, 0.0), (9.0, 0.0), (9.0, 9.0)))
    >>> scene = Scene(Path("chart.csv"), 4, 6, (zone,), picture=(30, 20))
    >>> drawn_for(scene, (60, 40)).zones[0].polygon
    ((0.5, 0.5), (18.5, 0.5), (18.5, 18.5))
    """
    if scene.picture is None or scene.picture == size:
        return scene
    (width, height), (now_width, now_height) = scene.picture, size
    if abs(now_width * height / (now_height * width) - 1.0) > SAME_SHAPE:
        raise InputError(
            say(
                "{source}: zones drawn on a picture of {width} x {height} pixels, found one of {now_width} x "
                "{now_height}; draw them on this picture",
                source=scene.source,
                width=width,
                height=height,
                now_width=now_width,
                now_height=now_height,
            )
        )
    x, y = now_width / width, now_height / height

    def scaled(points: tuple[Point, ...]) -> tuple[Point, ...]:
        return tuple(((px + 0.5) * x - 0.5, (py + 0.5) * y - 0.5) for px, py in points)

    return replace(
        scene,
        corners=scaled(scene.corners) if scene.corners else None,
        zones=tuple(replace(zone, polygon=scaled(zone.polygon)) for zone in scene.zones),
        tabs=tuple(replace(tab, polygon=scaled(tab.polygon)) for tab in scene.tabs),
        picture=size,
    )


def format_scene(scene: Scene) -> str:
    """Write a scene as text that `read_scene` reads back; files are named as the scene names them.

    >>> zone = SceneZone(11, "middle", "tooth", ((0.0, 0.0), (9.0, 0.0), (9.0, 9.0)))
    >>> print(format_scene(Scene(Path("chart.csv"), 4, 6, (zone,))).splitlines()[-1])
      - {tooth: 11, zone: "middle", tissue: tooth, polygon: [[0.00, 0.00], [9.00, 0.00], [9.00, 9.00]]}
    """
    lines = [f"encoding: {scene.encoding}", f"subject: {scene.subject}", f"reference: {_quoted(scene.reference)}"]
    lines += [f"rows: {scene.rows}", f"columns: {scene.columns}", f"patch_fill: {scene.patch_fill:g}"]
    lines += [f"corners: {_written(scene.corners)}"] if scene.corners else []
    lines += [f"flat: {_quoted(scene.flat)}"] if scene.flat else []
    lines += [f"picture: [{scene.picture[0]}, {scene.picture[1]}]"] if scene.picture else []
    lines += ["zones:", *_zone_lines(scene.zones, "  ")]
    lines += ["tabs:"] if scene.tabs else []
    for tab in scene.tabs:
        lab = ", ".join(f"{name}: {value!r}" for name, value in zip(("L", "a", "b"), tab.colour.lab, strict=True))
        light = f"illuminant: {_quoted(tab.colour.viewing.illuminant)}, observer: {tab.colour.viewing.observer}"
        lines.append(f"  - {{polygon: {_written(tab.polygon)}, {lab}, {light}}}")
    lines += _second_lines(scene.second) if scene.second else []
    return "\n".join(lines) + "\n"


def _zone_lines(zones: tuple[SceneZone, ...], indent: str) -> list[str]:
    return [
        f"{indent}- {{tooth: {zone.tooth}, zone: {_quoted(zone.zone)}, tissue: {zone.tissue}, "
        f"polygon: {_written(zone.polygon)}}}"
        for zone in zones
    ]


def _second_lines(second: SecondShot) -> list[str]:
    lines = ["second:", f"  image: {_quoted(second.image)}", f"  filter: {_quoted(second.filter)}"]
    lines += [f"  corners: {_written(second.corners)}"] if second.corners else []
    return [*lines, *(["  zones:", *_zone_lines(second.zones, "    ")] if second.zones else [])]


def _quoted(text: object) -> str:
    return '"' + str(text).replace("\\", "\\\\").replace('"', '\\"') + '"'


def _written(points: tuple[Point, ...]) -> str:
    return "[" + ", ".join(f"[{x:.2f}, {y:.2f}]" for x, y in points) + "]"


def _zones(node: Node) -> tuple[SceneZone, ...]:
    listed = node.items()
    if not 1 <= len(listed) <= MOST_ZONES:
        raise node.fail(say_n("{n} zone", "{n} zones", len(listed)), say("1 to {most}", most=MOST_ZONES))
    zones: dict[tuple[int, str], SceneZone] = {}
    for item in listed:
        zone = _zone(item)
        if (zone.tooth, zone.zone) in zones:
            raise item.fail(
                say("{tooth} {zone} a second time", tooth=zone.tooth, zone=zone.zone), say("each zone of a tooth once")
            )
        zones[zone.tooth, zone.zone] = zone
    return tuple(zones.values())


def _zone(node: Node) -> SceneZone:
    keys = node.mapping(_ZONE_KEYS, required=("tooth", "zone", "polygon"))
    name = zone_word(keys["zone"].text())
    stated = keys["tissue"].choice(TISSUES) if "tissue" in keys else None
    tissue = tissue_of(name) or stated
    if tissue is None:
        raise keys["zone"].fail(keys["zone"].kind, say("a known zone, or its tissue beside it"), hint=zone_hint(name))
    if stated not in (None, tissue):
        raise keys["tissue"].fail(keys["tissue"].kind, say("{tissue}, which {zone} is", tissue=tissue, zone=name))
    return SceneZone(read_tooth(keys["tooth"]), name, tissue, _polygon(keys["polygon"]))


def _tab(node: Node) -> SceneTab:
    keys = node.mapping(_TAB_KEYS, required=("polygon", "L", "a", "b", "illuminant", "observer"))
    observer = observer_number(keys["observer"].text())
    light = illuminant_name(keys["illuminant"].text())
    if not observer or light == "unknown":
        wrong = keys["illuminant"] if observer else keys["observer"]
        raise wrong.fail(wrong.kind, say("a tab's known light and observer, such as D65 and 10"))
    lightness = keys["L"].number(0.0, LIGHTEST)
    a, b = (keys[name].number(-MOST_CHROMATIC, MOST_CHROMATIC) for name in ("a", "b"))
    return SceneTab(_polygon(keys["polygon"]), LabRef((lightness, a, b), Viewing(light, observer)))


def _size(node: Node) -> tuple[int, int]:
    sides = node.items()
    if len(sides) != 2:
        raise node.fail(
            say_n("{n} number", "{n} numbers", len(sides)), say("width and height of the picture in pixels")
        )
    width, height = (one.integer(1, int(FURTHEST_PIXEL)) for one in sides)
    return width, height


def _second(node: Node, folder: Path) -> SecondShot:
    keys = node.mapping(_SECOND_KEYS, required=("image", "filter"))
    name = keys["filter"].text().strip()
    if not name or len(name) > LONGEST_FILTER:
        raise keys["filter"].fail(
            say_n("{n} letter", "{n} letters", len(name)),
            say("what the filter is called, 1 to {most} letters", most=LONGEST_FILTER),
        )
    return SecondShot(
        folder / keys["image"].text(),
        name,
        _corners(keys["corners"]) if "corners" in keys else None,
        _zones(keys["zones"]) if "zones" in keys else (),
    )


def _corners(node: Node) -> tuple[Point, ...]:
    corners = _points(node)
    if len(corners) != 4:
        raise node.fail(
            say_n("{n} corner", "{n} corners", len(corners)), say("4: top left, top right, bottom right, bottom left")
        )
    return corners


def _polygon(node: Node) -> tuple[Point, ...]:
    points = _points(node)
    if not 3 <= len(points) <= MOST_POINTS:
        raise node.fail(say_n("{n} point", "{n} points", len(points)), say("3 to {most}", most=MOST_POINTS))
    return points


def _points(node: Node) -> tuple[Point, ...]:
    return tuple(map(_point, node.items()))


def _point(node: Node) -> Point:
    pair = node.items()
    if len(pair) != 2:
        raise node.fail(say_n("{n} number", "{n} numbers", len(pair)), say("a point [x, y] in pixels"))
    x, y = (one.number(-FURTHEST_PIXEL, FURTHEST_PIXEL) for one in pair)
    return x, y
