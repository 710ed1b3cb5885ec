"""ΔE00 on a line: a dot for what is expected, a bar for 5–95 %, ticks at the two thresholds."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from stainbook.colour import ThresholdSet
from stainbook.pages.shell import texts
from stainbook.pages.shell.plain import bare
from stainbook.pages.shell.wording import one_decimal
from stainbook.words.escaping import escape
from stainbook.work.documents.schemas import Move

WIDTH, HEIGHT, PAD = 260, 72, 8  # px
_LETTER = 6.9  # px, of a letter of a tick's name


class Scale(NamedTuple):
    """A common line from 0 to ``end`` ΔE00."""

    end: float
    limits: ThresholdSet

    def x(self, dE00: float) -> float:
        """Where a difference stands, px."""
        return PAD + (WIDTH - 2 * PAD) * min(max(dE00 / self.end, 0.0), 1.0)


def common_scale(moves: Sequence[Move], limits: ThresholdSet, *others: float) -> Scale:
    """The line that holds all steps of one zone."""
    most = max([1.25 * limits.acceptable, *others, *(move.dE00_p95 for move in moves)])
    return Scale(math.ceil(most * 2.1) / 2.0, limits)


def head(scale: Scale) -> str:
    """The names of the ticks, one above the other since they may stand close."""
    return f'<svg class="scale" width="{WIDTH}" height="40" aria-hidden="true">{_named_ticks(scale, 12, 40)}</svg>'


def _named_ticks(scale: Scale, top: int, foot: int) -> str:
    ticks = (
        (texts.PERCEPTIBLE, scale.limits.perceptible, top),
        (texts.ACCEPTABLE, scale.limits.acceptable, top + 16),
    )
    return "".join(
        f'<path class="tick" d="M{scale.x(at):.1f},{y - 10}V{foot}"/>{_tick_name(scale.x(at), y, name, at)}'
        for name, at, y in ticks
    )


def _tick_name(x: float, y: int, name: str, at: float) -> str:
    """Beside its tick, on the side where there is room; a long name as far to the right as it fits."""
    said = f"{bare(name)} {one_decimal(at)}"
    width = _LETTER * len(said)
    kind, start = "tick-name", x + 4
    if start + width > WIDTH:
        kind, start = ("tick-name before", x - 4) if x - 4 > width else (kind, max(WIDTH - width, 0.0))
    return f'<text class="{kind}" x="{start:.1f}" y="{y}">{escape(said)}</text>'


def line(scale: Scale, expected: float, low: float, high: float, *, hollow: bool = True) -> str:
    """One step's line with its figures beneath."""
    x, y = scale.x(expected), 28
    ticks = "".join(
        f'<path class="tick" d="M{scale.x(at)},0V{HEIGHT}"/>'
        for at in (scale.limits.perceptible, scale.limits.acceptable)
    )
    figures = f"{one_decimal(expected)} ({one_decimal(low)}–{one_decimal(high)})"
    anchor = min(max(x, 46), WIDTH - 46)
    return (
        f'<svg class="scale" width="{WIDTH}" height="{HEIGHT}" aria-hidden="true">{ticks}'
        f'<path class="axis" d="M{PAD},{y}H{WIDTH - PAD}"/>'
        f'<path class="span" d="M{scale.x(low):.1f},{y}H{scale.x(high):.1f}"/>'
        f'<circle class="{"dot hollow-dot" if hollow else "dot"}" cx="{x:.1f}" cy="{y}" r="6"/>'
        f'<rect class="behind" x="{anchor - 46:.1f}" y="{y + 16}" width="92" height="18"/>'
        f'<text class="figures" x="{anchor:.1f}" y="{y + 30}">{figures}</text></svg>'
    )


def gap_line(scale: Scale, dE00: float) -> str:
    """Where the piece is now, measured: a filled dot, with the names of the ticks above."""
    y = 52
    return (
        f'<svg class="scale" viewBox="0 0 {WIDTH} 64" aria-hidden="true">{_named_ticks(scale, 14, y + 8)}'
        f'<path class="axis" d="M{PAD},{y}H{WIDTH - PAD}"/>'
        f'<circle class="dot" cx="{scale.x(dE00):.1f}" cy="{y}" r="6"/></svg>'
    )
