"""Outlines of teeth, their thirds and their gum along a drawn arch, in millimetres.

Each tooth has its own frame: ``across`` from the middle of its edge towards the viewer's right,
``out`` from the edge towards the neck. The arch is half an ellipse through the edges, drawn from
above with the front teeth at the top (upper jaw) or the bottom (lower); a few teeth stand in a row.
Heights are drawn taller than they are, so that a third can be tapped.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from stainbook.records import GUM_ZONES

Points = NDArray[np.float64]  # (n, 2), mm, y downwards as in SVG

# mean crown widths, mm, by position from the midline: anatomy handbooks, from memory
UPPER = (8.5, 6.5, 7.5, 7.0, 7.0, 10.0, 9.0, 8.5)
LOWER = (5.0, 5.5, 7.0, 7.0, 7.0, 11.0, 10.5, 10.0)
UPPER_MILK = (6.5, 5.1, 7.0, 7.3, 8.2)
LOWER_MILK = (4.2, 4.1, 5.0, 7.7, 9.9)
HEIGHTS = (10.5, 9.5, 10.5, 9.0, 8.5, 8.0, 7.5, 7.5)  # of crowns, from memory
TALLER = 1.45  # how much taller than wide teeth are drawn
ROW_AT_MOST = 4  # teeth that stand in a row
DEEP = 1.3  # depth of the arch by half its width
SPARE = 1.06  # a quarter of the ellipse by half the teeth
GUM_TOPS = {"margin": 3.6, "attached": 8.0, "mucosa": 12.5}  # mm above the highest neck; margin: above its own
EXTRA_BAND = 4.0  # mm, for gum zones of the lab's own names
_CURVE = 25  # points of a curved side


class Shape(NamedTuple):
    """One zone of one tooth: a closed outline and where its sign stands."""

    tooth: int
    zone: str
    outline: Points
    centre: tuple[float, float]


class Number(NamedTuple):
    """Where a tooth's ISO 3950 number stands."""

    tooth: int
    at: tuple[float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Drawing:
    """Shapes in the order of painting, numbers, and the box (x, y, width, height) that holds all."""

    shapes: tuple[Shape, ...]
    numbers: tuple[Number, ...]
    box: tuple[float, float, float, float]
    in_row: bool


@dataclass(frozen=True, slots=True, eq=False)
class _Line:
    """The line of the edges: points (n, 2) and outward normals (n, 2) by distance from the midline (n,)."""

    distance: Points
    points: Points
    normals: Points

    def place(self, along: Points, out: Points) -> Points:
        """(n, 2) points ``out`` beside the line at ``along``."""
        base = np.column_stack([np.interp(along, self.distance, self.points[:, k]) for k in (0, 1)])
        normal = np.column_stack([np.interp(along, self.distance, self.normals[:, k]) for k in (0, 1)])
        normal /= np.linalg.norm(normal, axis=1, keepdims=True)
        return np.asarray(base + normal * out[:, np.newaxis])


@dataclass(frozen=True, slots=True)
class _Tooth:
    tooth: int
    at: float  # middle of its edge, distance along the line
    width: float
    height: float

    @property
    def mesial(self) -> float:
        """+1 where the midline lies to the viewer's right of it."""
        return 1.0 if self.tooth // 10 in (1, 4, 5, 8) else -1.0


def is_upper(tooth: int) -> bool:
    """Whether a tooth (ISO 3950) is of the upper jaw.

    >>> from stainbook.report.arch_shapes import is_upper
    >>> is_upper(11), is_upper(85)
    (True, False)
    """
    return tooth // 10 in (1, 2, 5, 6)


def viewed(teeth: Iterable[int]) -> list[int]:
    """Teeth of one jaw from the viewer's left to right: the patient's right side comes first.

    Parameters
    ----------
    teeth : numbers by ISO 3950

    >>> from stainbook.report.arch_shapes import viewed
    >>> viewed([21, 11, 22, 12])
    [12, 11, 21, 22]
    """
    return sorted(teeth, key=lambda tooth: -(tooth % 10) if tooth // 10 in (1, 4, 5, 8) else tooth % 10)


def draw_jaw(zones: Sequence[tuple[int, str, str]], *, in_row: bool = False) -> Drawing:
    """The outlines of the teeth of one jaw with their zones, in mm.

    Parameters
    ----------
    zones : tooth (ISO 3950), zone and tissue of each, one at least; standard zones of these teeth are drawn too
    in_row : the named teeth side by side, however many they are

    Returns
    -------
    Drawing : each shape's outline (n, 2) in mm, y downwards; few teeth stand in a row, more along an arch

    >>> from stainbook.report.arch_shapes import draw_jaw
    >>> drawing = draw_jaw([(11, "middle", "tooth")])
    >>> [shape.zone for shape in drawing.shapes], drawing.in_row
    (['cervical', 'middle', 'incisal'], True)
    """
    return _drawn(tuple(zones), in_row)


@lru_cache(maxsize=64)
def _drawn(zones: tuple[tuple[int, str, str], ...], in_row: bool) -> Drawing:
    named = {tooth for tooth, _, _ in zones}
    wide = in_row and len(named) > ROW_AT_MOST
    in_row = in_row or len(named) <= ROW_AT_MOST
    up = -1.0 if is_upper(next(iter(named))) else 1.0
    teeth = _stand(viewed(named if in_row else _filled(named)))
    line = _row(up) if in_row else _ellipse(teeth, up)
    gum = _gum_shapes(teeth, line, zones) if any(tissue == "gingiva" for _, _, tissue in zones) else []
    crowns = [shape for tooth in teeth for shape in _crown(tooth, line, zones)]
    shapes = (*gum, *crowns)
    below = -0.09 * max(tooth.height for tooth in teeth) if in_row else -2.9
    numbers = tuple(Number(one.tooth, _point(line.place(np.array([one.at]), np.array([below])))) for one in teeth)
    pad = 0.03 if len(named) > ROW_AT_MOST else 0.05
    return Drawing(shapes, numbers, _box(shapes, numbers, 0.5 * pad if wide else pad), in_row)


# ---------------------------------------------------------------- where teeth stand


def _filled(named: Iterable[int]) -> set[int]:
    """The teeth and all between them and the midline."""
    return {tooth // 10 * 10 + position for tooth in named for position in range(1, tooth % 10 + 1)}


def _width(tooth: int) -> float:
    milk = tooth // 10 > 4
    widths = (UPPER_MILK if milk else UPPER) if is_upper(tooth) else (LOWER_MILK if milk else LOWER)
    return widths[tooth % 10 - 1]


def _stand(ordered: Sequence[int]) -> list[_Tooth]:
    """Teeth side by side; 0 is the midline, or the middle of what is there when one side is empty."""
    widths = np.array([_width(tooth) for tooth in ordered])
    ends = np.concatenate([[0.0], np.cumsum(widths)])
    right = sum(width for tooth, width in zip(ordered, widths, strict=True) if tooth // 10 in (1, 4, 5, 8))
    zero = right if 0.0 < right < ends[-1] else ends[-1] / 2.0
    middles = 0.5 * (ends[:-1] + ends[1:]) - zero
    heights = [HEIGHTS[tooth % 10 - 1] * TALLER * (0.8 if tooth // 10 > 4 else 1.0) for tooth in ordered]
    return [_Tooth(*one) for one in zip(ordered, middles.tolist(), widths.tolist(), heights, strict=True)]


def _row(up: float) -> _Line:
    along = np.array([-200.0, 200.0])
    return _Line(along, np.column_stack([along, [0.0, 0.0]]), np.array([[0.0, up], [0.0, up]]))


def _ellipse(teeth: Sequence[_Tooth], up: float) -> _Line:
    """Half an ellipse, longer than the teeth by ``SPARE``, and straight on behind."""
    half = max(abs(one.at) + one.width / 2.0 for one in teeth) * SPARE
    angle = np.linspace(-np.pi / 2.0, np.pi / 2.0, 721)
    x, y = np.sin(angle), up * DEEP * np.cos(angle)
    length = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))])
    scale = 2.0 * half / length[-1]
    points = np.column_stack([x, y]) * scale
    normals = np.column_stack([DEEP * x, y / DEEP])
    tail = np.array([[0.0, -up * half]])
    return _Line(
        np.concatenate([[-2.0 * half], length * scale - half, [2.0 * half]]),
        np.vstack([points[:1] + tail, points, points[-1:] + tail]),
        np.vstack([normals[:1], normals, normals[-1:]]),
    )


# ---------------------------------------------------------------- crowns


def _crown(tooth: _Tooth, line: _Line, zones: Sequence[tuple[int, str, str]]) -> list[Shape]:
    """The bands of a crown, from neck to edge: its thirds, and zones of the lab's own names."""
    names = _bands(tooth.tooth, zones)
    cuts = np.linspace(1.0, 0.0, len(names) + 1)
    return [
        _shape(tooth, name, _to_page(tooth, line, _band(tooth, low, high)))
        for name, high, low in zip(names, cuts[:-1], cuts[1:], strict=True)
    ]


def _bands(tooth: int, zones: Sequence[tuple[int, str, str]]) -> list[str]:
    named = [zone for number, zone, tissue in zones if number == tooth and tissue == "tooth"]
    edge = "occlusal" if tooth % 10 > 3 and "incisal" not in named else "incisal"
    usual = ["cervical", "middle", edge]
    return usual + [zone for zone in named if zone not in usual]


def _band(tooth: _Tooth, low: float, high: float) -> Points:
    """Outline of the part of a crown between two heights, 0 at the edge and 1 at the neck."""
    s, up = np.linspace(-1.0, 1.0, _CURVE), np.linspace(low, high, _CURVE)
    lower = _patch(tooth, s, np.full(_CURVE, low))
    right = _patch(tooth, np.ones(_CURVE), up)
    upper = _patch(tooth, s[::-1], np.full(_CURVE, high))
    left = _patch(tooth, -np.ones(_CURVE), up[::-1])
    return np.vstack([lower, right, upper, left])


def _patch(tooth: _Tooth, s: Points, t: Points) -> Points:
    """Crown surface: s from -1 to 1 across, t from 0 at the edge to 1 at the neck; gives across, out in mm."""
    half = 0.5 * tooth.width * _profile(t)
    edge = tooth.height * _edge(tooth.tooth, s)
    neck = tooth.height * (1.0 - 0.24 * (1.0 - np.sqrt(1.0 - 0.98 * s**2)))
    return np.column_stack([s * half, edge + t * (neck - edge)])


def _profile(t: Points) -> Points:
    """Half width by height: rounded edge, widest near the contact, narrow neck."""
    return np.asarray(
        0.98 - 0.15 * np.clip((t - 0.3) / 0.7, 0.0, 1.0) ** 1.5 - 0.06 * np.clip((0.3 - t) / 0.3, 0.0, 1.0)
    )


def _edge(tooth: int, s: Points) -> Points:
    """Height of the edge: flat, one tip, or two."""
    position, rounded = tooth % 10, 0.05 * np.abs(s) ** 6
    if position <= 2:
        return np.asarray(rounded)
    if position == 3 or (position <= 5 and tooth // 10 <= 4):
        return np.asarray(0.10 * np.abs(s) ** 1.4 - 0.05 + rounded)
    return np.asarray(0.04 * np.cos(2.0 * np.pi * s) + rounded)


def _to_page(tooth: _Tooth, line: _Line, local: Points) -> Points:
    """A crown is stiff: its frame stands on the line at its middle."""
    foot, head = line.place(np.array([tooth.at, tooth.at]), np.array([0.0, 1.0]))
    before, after = line.place(np.array([tooth.at - 0.1, tooth.at + 0.1]), np.zeros(2))
    across = (after - before) / np.linalg.norm(after - before)
    return np.asarray(foot + local[:, :1] * across + local[:, 1:] * (head - foot))


# ---------------------------------------------------------------- gum


def _gum_shapes(teeth: Sequence[_Tooth], line: _Line, zones: Sequence[tuple[int, str, str]]) -> list[Shape]:
    """Bands of gum outside in, papillae last, since what lies nearer the tooth covers what lies behind."""
    crest = max(one.height for one in teeth)
    extra = _own_gum_names(zones)
    tops = GUM_TOPS | {name: GUM_TOPS["mucosa"] + EXTRA_BAND * (k + 1) for k, name in enumerate(extra)}
    order = [*reversed(extra), "mucosa", "attached"]
    bands = [_even_band(tooth, line, name, crest, tops) for name in order for tooth in teeth]
    margins = [_margin(tooth, line) for tooth in teeth]
    papillae = [_papilla(tooth, line) for tooth in teeth if _has_papilla(tooth, teeth)]
    return [*bands, *margins, *papillae]


def _own_gum_names(zones: Sequence[tuple[int, str, str]]) -> list[str]:
    return list(dict.fromkeys(zone for _, zone, tissue in zones if tissue == "gingiva" and zone not in GUM_ZONES))


def _has_papilla(tooth: _Tooth, teeth: Sequence[_Tooth]) -> bool:
    """The one at the midline is that of the patient's right central."""
    return tooth.tooth not in (21, 31, 61, 71) or not any(one.tooth == tooth.tooth - 10 for one in teeth)


def _even_band(tooth: _Tooth, line: _Line, name: str, crest: float, tops: dict[str, float]) -> Shape:
    inner = {"attached": 0.6 * tooth.height, "mucosa": crest + tops["attached"]}.get(
        name, crest + tops[name] - EXTRA_BAND
    )
    along = np.linspace(-0.5, 0.5, _CURVE) * tooth.width + tooth.at
    top = np.full(_CURVE, crest + tops[name])
    outline = np.vstack([line.place(along, np.full(_CURVE, inner)), line.place(along[::-1], top)])
    visible = 0.5 * (max(inner, tooth.height + tops["margin"]) + top[0])
    return Shape(tooth.tooth, name, outline, _point(line.place(np.array([tooth.at]), np.array([visible]))))


def _margin(tooth: _Tooth, line: _Line) -> Shape:
    s = np.linspace(-1.0, 1.0, _CURVE)
    along = s * tooth.width / 2.0 + tooth.at
    top = tooth.height * (1.0 - 0.16 * np.abs(s) ** 2) + GUM_TOPS["margin"]
    outline = np.vstack([line.place(along, np.full(_CURVE, 0.55 * tooth.height)), line.place(along[::-1], top[::-1])])
    middle = tooth.height + 0.5 * GUM_TOPS["margin"]
    return Shape(tooth.tooth, "margin", outline, _point(line.place(np.array([tooth.at]), np.array([middle]))))


def _papilla(tooth: _Tooth, line: _Line) -> Shape:
    """A gothic arch between the necks, on the side of the midline."""
    s = np.linspace(-1.0, 1.0, _CURVE)
    between = tooth.at + tooth.mesial * tooth.width / 2.0
    along = between + 0.34 * tooth.width * s
    tip, base = 0.42 * tooth.height, 0.90 * tooth.height + 0.55 * GUM_TOPS["margin"]
    lower = tip + (base - tip) * np.abs(s) ** 0.8
    upper = base + 0.05 * tooth.height * (1.0 - s**2)
    outline = np.vstack([line.place(along, lower), line.place(along[::-1], upper[::-1])])
    return Shape(tooth.tooth, "papilla", outline, _point(line.place(np.array([between]), np.array([0.80 * base]))))


# ---------------------------------------------------------------- common


def _shape(tooth: _Tooth, zone: str, outline: Points) -> Shape:
    return Shape(tooth.tooth, zone, outline, _centroid(outline))


def _centroid(outline: Points) -> tuple[float, float]:
    """The centre of area of a closed outline."""
    after = np.roll(outline, -1, axis=0)
    cross = outline[:, 0] * after[:, 1] - after[:, 0] * outline[:, 1]
    x, y = ((outline + after) * cross[:, np.newaxis]).sum(axis=0) / (3.0 * cross.sum())
    return float(x), float(y)


def _point(points: Points) -> tuple[float, float]:
    return float(points[0, 0]), float(points[0, 1])


def _box(shapes: Sequence[Shape], numbers: Sequence[Number], pad: float) -> tuple[float, float, float, float]:
    every = np.vstack([*(shape.outline for shape in shapes), np.array([number.at for number in numbers])])
    low, high = every.min(axis=0), every.max(axis=0)
    margin = pad * float((high - low).max())
    width, height = (high - low + 2.0 * margin).tolist()
    return float(low[0] - margin), float(low[1] - margin), width, height
