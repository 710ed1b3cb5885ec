"""The arch as markup: one focusable outline a zone, its sign, the ISO 3950 numbers, the ring of the choice."""

from __future__ import annotations

import struct
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from typing import Any, NamedTuple

from stainbook.pages.shell import texts
from stainbook.pages.widgets.signs import sign
from stainbook.report.arch_shapes import Drawing, Points, Shape, draw_jaw, is_upper, viewed
from stainbook.words.escaping import escape
from stainbook.words.states import State
from stainbook.work.documents.plan_schemas import PlannedZone
from stainbook.work.documents.schemas import AdvisedZone

ZoneKey = tuple[int, str]


class Face(NamedTuple):
    """How one zone looks: its fill, what stands on it, and what a screen reader says."""

    fill: str | None  # None: nothing is known
    state: State
    text: str | None  # instead of the sign
    dark: bool  # whether the fill is dark
    label: str


def key_text(key: ZoneKey) -> str:
    """A zone's key as one word for the markup."""
    return f"{key[0]} {key[1]}"


def jaws(zones: Sequence[AdvisedZone] | Sequence[PlannedZone], face: Callable[[Any], Face]) -> str:
    """The drawings of the jaws that have zones; ``face`` says how each looks."""
    found = []
    for upper in (True, False):
        jaw = [zone for zone in zones if is_upper(zone.tooth) == upper]
        if jaw:
            drawing = draw_jaw([(zone.tooth, zone.zone, zone.tissue) for zone in jaw])
            faces = {(zone.tooth, zone.zone): face(zone) for zone in jaw}
            found.append(arch_markup(drawing, faces, (texts.RIGHT, texts.LEFT)))
    return "".join(found)


def arch_markup(drawing: Drawing, faces: Mapping[ZoneKey, Face], side_words: tuple[str, str]) -> str:
    """The drawing of one jaw; zones without a face are outlines only.

    side_words : what stands below its left and right end, as the viewer sees it; on the well there are numbers alone
    """
    x, y, width, height = drawing.box
    unit = height / 27.0  # about 15 px where the drawing is 400 px high
    steps = _neighbours(faces)
    live = [shape for shape in drawing.shapes if (shape.tooth, shape.zone) in faces]
    body = [_outline(shape, faces, steps) for shape in drawing.shapes]
    body += ['<path class="ring halo" d=""/>', '<path class="ring" d=""/>']
    body += [_mark(shape, faces[shape.tooth, shape.zone], unit) for shape in live]
    body += [
        f'<g class="tooth" data-tooth="{tooth}"><circle cx="{at[0]:.2f}" cy="{at[1]:.2f}" r="{1.5 * unit:.2f}"/>'
        f'<text class="number" x="{at[0]:.2f}" y="{at[1]:.2f}" font-size="{unit:.2f}">{tooth}</text></g>'
        for tooth, at in drawing.numbers
    ]
    kind = "row" if drawing.in_row else "arch"
    view = f"{x:.2f} {y:.2f} {width:.2f} {height:.2f}"
    drawn = f'<svg class="{kind}" viewBox="{view}" role="presentation">{"".join(body)}</svg>'
    sides = "" if drawing.in_row else "".join(f"<span>{escape(word)}</span>" for word in side_words)
    return f'<div class="well jaw">{drawn}</div><p class="sides">{sides}</p>'


def _outline(shape: Shape, faces: Mapping[ZoneKey, Face], steps: Mapping[ZoneKey, dict[str, str]]) -> str:
    key = shape.tooth, shape.zone
    path = _path(shape.outline)
    if key not in faces:
        return f'<path class="blank" d="{path}"/>'
    face = faces[key]
    name = escape(key_text(key))
    sides = "".join(f' data-{side}="{escape(other)}"' for side, other in steps[key].items())
    fill = f' style="fill:{face.fill}"' if face.fill else ""
    label = escape(face.label)
    return f'<path class="zone" d="{path}" data-key="{name}"{sides} aria-label="{label}"{fill}/>'


def _mark(shape: Shape, face: Face, unit: float) -> str:
    tone = "on-dark" if face.dark else "on-light"
    if face.text is None:
        return f'<g class="{tone}">{sign(face.state, shape.centre, 0.40 * unit)}</g>'
    x, y = shape.centre
    size = f"{_size(face.text) * unit:.2f}"
    return f'<text class="value {tone}" x="{x:.2f}" y="{y:.2f}" font-size="{size}">{escape(face.text)}</text>'


def _size(text: str) -> float:
    """Of letters: smaller where there are many, since a zone is narrow."""
    return 0.85 if len(text) < 4 else 0.68


def _path(outline: Points) -> str:
    return _path_of(outline.tobytes())


@lru_cache(maxsize=4096)
def _path_of(outline: bytes) -> str:
    """Outlines are drawn again and again, and writing their numbers is most of a drawing's work."""
    numbers = [f"{one:.2f}" for one in struct.unpack(f"{len(outline) // 8}d", outline)]
    return "M" + "L".join(map(",".join, zip(numbers[::2], numbers[1::2], strict=True))) + "Z"


def _neighbours(faces: Mapping[ZoneKey, Face]) -> dict[ZoneKey, dict[str, str]]:
    """Where arrows lead: left and right to the same zone (or the one as near to the edge) of the next tooth,
    up and down along one tooth, up being away from the edge in the upper jaw."""
    columns = {tooth: [key for key in _ordered(faces) if key[0] == tooth] for tooth in {key[0] for key in faces}}
    order = viewed(columns)
    steps: dict[ZoneKey, dict[str, str]] = {}
    for place, tooth in enumerate(order):
        column = columns[tooth]
        for height, key in enumerate(column):
            around = {
                "up": _at(column, height + (1 if is_upper(tooth) else -1)),
                "down": _at(column, height - (1 if is_upper(tooth) else -1)),
                "left": _level(columns[order[place - 1]], key, height) if place else None,
                "right": _level(columns[order[place + 1]], key, height) if place + 1 < len(order) else None,
            }
            steps[key] = {side: key_text(other) for side, other in around.items() if other} or {"left": key_text(key)}
    return steps


_HEIGHT = ("incisal", "occlusal", "middle", "cervical", "papilla", "margin", "attached", "mucosa")


def _ordered(faces: Mapping[ZoneKey, Face]) -> list[ZoneKey]:
    return sorted(faces, key=lambda key: (key[0], _HEIGHT.index(key[1]) if key[1] in _HEIGHT else len(_HEIGHT)))


def _at(column: Sequence[ZoneKey], height: int) -> ZoneKey | None:
    return column[height] if 0 <= height < len(column) else None


def _level(column: Sequence[ZoneKey], key: ZoneKey, height: int) -> ZoneKey:
    same = [other for other in column if other[1] == key[1]]
    return same[0] if same else column[min(height, len(column) - 1)]
