"""Vector drawings of a report: the arch with what each zone came to, bars of ΔE00 with their doubt, planes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from stainbook.colour import lab_to_lch, lab_to_srgb
from stainbook.language import say
from stainbook.records import TOOTH_ZONES, LabValues
from stainbook.report.arch_shapes import Drawing, Shape, draw_jaw, is_upper
from stainbook.report.content import Key, ZoneReport
from stainbook.report.paper import INK, LINE, PALE, SMALL, SOFT, Paper

DARK_BELOW = 50.0  # L* below which signs are written in white
HIGHEST = 120.0  # mm that a drawn jaw may take
LARGEST = 3.0  # times life size
_BAR_TO = 2.0  # of the acceptable difference: the right end of a bar


def jaws(zones: Sequence[ZoneReport]) -> list[Drawing]:
    """A drawing for each jaw that has zones, the upper one first; see `draw_jaw`."""
    parts = [[zone for zone in zones if is_upper(zone.tooth) == upper] for upper in (True, False)]
    return [draw_jaw([(zone.tooth, zone.zone, zone.tissue) for zone in part]) for part in parts if part]


def draw_arch(paper: Paper, drawing: Drawing, zones: Mapping[Key, ZoneReport], highest: float = HIGHEST) -> None:
    """Draws a jaw over the width of the page, each zone filled with its reading and marked with its state.

    Teeth are outlined whole, gum only where the case has zones. ``zones`` are by tooth and zone, ``highest`` the mm
    that the jaw may take.
    """
    x, y, width, height = drawing.box
    scale = min(paper.epw / width, highest / height, LARGEST)
    if paper.will_page_break(scale * height):
        paper.add_page()
    left, top = paper.l_margin + 0.5 * (paper.epw - scale * width), paper.get_y()

    def place(point: tuple[float, float]) -> tuple[float, float]:
        return left + scale * (point[0] - x), top + scale * (point[1] - y)

    seen = [shape for shape in drawing.shapes if shape.zone in TOOTH_ZONES or (shape.tooth, shape.zone) in zones]
    for shape in seen:
        _outline(paper, shape, zones.get((shape.tooth, shape.zone)), place)
    for shape in drawing.shapes:
        if (shape.tooth, shape.zone) in zones:
            _sign(paper, zones[shape.tooth, shape.zone], *place(shape.centre))
    paper.ink(SMALL, bold=True)
    for tooth, at in drawing.numbers:
        _centred(paper, str(tooth), *place(at))
    paper.set_y(top + scale * height + 1.0)


def _outline(paper: Paper, shape: Shape, zone: ZoneReport | None, place: object) -> None:
    assert callable(place)
    _fill(paper, zone.result if zone else None)
    paper.set_line_width(0.15)
    points = [place((float(px), float(py))) for px, py in shape.outline]
    paper.polygon(points, style="DF" if zone and zone.result else "D")


def _sign(paper: Paper, zone: ZoneReport, x: float, y: float) -> None:
    dark = zone.result is not None and zone.result[0] < DARK_BELOW
    paper.ink(SMALL, grey=255 if dark else INK)
    _centred(paper, zone.state.shape, x, y)


def _centred(paper: Paper, text: str, x: float, y: float) -> None:
    width = paper.get_string_width(text) + 1.0
    paper.set_xy(x - 0.5 * width, y - 1.6)
    paper.cell(width, 3.2, text, align="C")


def _fill(paper: Paper, lab: LabValues | None) -> None:
    if lab is None:
        paper.set_fill_color(255)
        return
    code = lab_to_srgb(lab).hex
    paper.set_fill_color(*(int(code[i : i + 2], 16) for i in (1, 3, 5)))


def swatches(paper: Paper, x: float, y: float, size: float, colours: Sequence[LabValues | None]) -> None:
    """Draws squares of ``size`` mm side by side from ``x``, their middle at ``y``, of L*, a*, b*; a gap for None.

    A corner is cut off one that a screen cannot show.
    """
    top = y - 0.5 * size
    for place, lab in enumerate(colours):
        left = x + place * size
        if lab is None:
            continue
        _fill(paper, lab)
        cut = 0.0 if lab_to_srgb(lab).in_gamut else 0.35 * size
        paper.polygon(
            [(left, top), (left + size - cut, top), (left + size, top + cut), (left + size, top + size),
             (left, top + size)], style="F",
        )  # fmt: skip


def bar(paper: Paper, zone: ZoneReport, x: float, y: float, width: float) -> None:
    """Draws ΔE00 as a dot with its doubt as a bar, on a line of ``width`` mm with both thresholds as ticks.

    The line goes from 0 to twice the acceptable ΔE00; a zone without ΔE00 gets none.
    """
    if zone.dE00 is None or zone.u is None or zone.acceptable <= 0.0:
        return
    end = _BAR_TO * zone.acceptable

    def at(value: float) -> float:
        return x + width * min(max(value, 0.0), end) / end

    paper.set_draw_color(LINE)
    paper.set_line_width(0.15)
    paper.line(x, y, x + width, y)
    for limit in (zone.perceptible, zone.acceptable):
        paper.line(at(limit), y - 1.6, at(limit), y + 1.6)
    paper.set_fill_color(SOFT)
    low, high = at(zone.dE00 - zone.u), at(zone.dE00 + zone.u)
    paper.rect(low, y - 0.5, max(high - low, 0.2), 1.0, style="F")
    paper.set_fill_color(INK)
    if zone.dE00 <= end:
        paper.circle(at(zone.dE00), y, 0.8, style="F")
    else:  # beyond the end of the line
        paper.polygon([(x + width - 1.4, y - 1.0), (x + width + 0.4, y), (x + width - 1.4, y + 1.0)], style="F")


def planes(paper: Paper, zones: Iterable[ZoneReport], size: float = 74.0) -> None:
    """Draws readings around their targets, side by side: a*b* and L*C*, equal axes, the target in the middle.

    ``size`` is the side of each square in mm.
    """
    pairs = [(zone, zone.target, zone.result) for zone in zones if zone.target and zone.result]
    if not pairs:
        return
    if paper.will_page_break(size + 8.0):
        paper.add_page()
    lch = [(lab_to_lch(result) - lab_to_lch(target)) for _, target, result in pairs]
    ab = [(result[1] - target[1], result[2] - target[2]) for _, target, result in pairs]
    lc = [(float(step[1]), float(step[0])) for step in lch]
    span = max(1.0, float(np.ceil(1.1 * np.abs(np.array([*ab, *lc])).max())))
    top, between = paper.get_y(), min(paper.epw - 2.0 * size, 0.25 * size)
    for place, (points, across, up) in enumerate(((ab, "Δa*", "Δb*"), (lc, "ΔC*", "ΔL*"))):
        left = paper.l_margin + place * (size + between)
        _axes(paper, left, top, size, span, across, up)
        for (zone, _, _), (u, v) in zip(pairs, points, strict=True):
            x, y = left + size * (0.5 + 0.5 * u / span), top + size * (0.5 - 0.5 * v / span)
            paper.set_fill_color(INK)
            paper.circle(x, y, 0.7, style="F" if zone.tissue == "tooth" else "D")
    paper.set_y(top + size + 4.0)


def _axes(paper: Paper, x: float, y: float, size: float, span: float, across: str, up: str) -> None:
    paper.set_draw_color(PALE)
    paper.set_line_width(0.15)
    step = max(1, int(span // 4))
    for value in range(-int(span), int(span) + 1, step):
        shift = 0.5 * size * (1.0 + value / span)
        paper.line(x + shift, y, x + shift, y + size)
        paper.line(x, y + shift, x + size, y + shift)
    paper.set_draw_color(LINE)
    paper.rect(x, y, size, size)
    paper.line(x + 0.5 * size, y, x + 0.5 * size, y + size)
    paper.line(x, y + 0.5 * size, x + size, y + 0.5 * size)
    paper.ink(SMALL, grey=SOFT)
    paper.put(
        x + size - 24.0, y + 0.5 * size + 3.0, 23.0, say("{axis} to {span:g}", axis=across, span=span), right=True
    )
    paper.put(x + 0.5 * size + 1.0, y + 3.0, 30.0, say("{axis} to {span:g}", axis=up, span=span))
    paper.set_draw_color(INK)
