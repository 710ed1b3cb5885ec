"""Swatches that touch: now | predicted | target, with the differences on their shared edges, in a well of L* 62.

The well is as wide on each side as a swatch is high: a lighter ground close by would change what the eye sees.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from stainbook.colour import Swatch, lab_to_srgb
from stainbook.faces.view_types import difference
from stainbook.language import joined
from stainbook.pages.shell import texts, wording
from stainbook.words.escaping import escape
from stainbook.work.documents.schemas import ColourResult

SIDE = 72  # px, the smallest that a colour is judged on
_CUT = 16  # px, the corner that is cut off
_NAMES = 22  # px, the line of names above the well


class Patch(NamedTuple):
    """One swatch: its name and its colour, None where there is none."""

    name: str
    colour: ColourResult | None


def trio(
    now: ColourResult | None, predicted: ColourResult | None, target: ColourResult | None
) -> tuple[Patch, Patch, Patch]:
    """The three swatches in their fixed order."""
    return Patch(texts.NOW, now), Patch(texts.PREDICTED, predicted), Patch(texts.TARGET, target)


def small(patches: Sequence[Patch]) -> str:
    """The swatches alone, for a row of a list."""
    body = "".join(_square(patch, SIDE * place, 0, SIDE) for place, patch in enumerate(patches))
    width = SIDE * len(patches)
    return (
        f'<span class="well"><svg class="swatches" width="{width}" height="{SIDE}" viewBox="0 0 {width} {SIDE}" '
        f'role="img" aria-label="{_said(patches)}">{body}</svg></span>'
    )


def large(patches: Sequence[Patch]) -> str:
    """The swatches with the ΔE00 of neighbours on the edge they share; their names stand above the well."""
    top, width, height = _NAMES, SIDE * (len(patches) + 2), _NAMES + 3 * SIDE
    names = "".join(
        f'<text class="swatch-name" x="{SIDE * (place + 1.5):g}" y="14">{escape(patch.name)}</text>'
        for place, patch in enumerate(patches)
    )
    squares = "".join(_square(patch, SIDE * (place + 1), top + SIDE, SIDE) for place, patch in enumerate(patches))
    pairs = pairwise(patches)
    edges = "".join(_edge(one, other, SIDE * (place + 2), top + 2 * SIDE) for place, (one, other) in enumerate(pairs))
    return (
        f'<svg class="swatches large" viewBox="0 0 {width} {height}" role="img" aria-label="{_said(patches)}">'
        f'{names}<rect class="ground" y="{top}" width="{width}" height="{3 * SIDE}"/>{squares}{edges}</svg>'
    )


def screen(colour: ColourResult) -> str:
    """The screen's colour, as near as it can."""
    return _on_screen(colour.L, colour.a, colour.b).hex


@lru_cache(maxsize=4096)
def _on_screen(L: float, a: float, b: float) -> Swatch:
    return lab_to_srgb((L, a, b))


def shows_all(patches: Sequence[Patch]) -> bool:
    """Whether the screen can show every one of the colours."""
    colours = [patch.colour for patch in patches if patch.colour]
    return all(_on_screen(one.L, one.a, one.b).in_gamut for one in colours)


def _square(patch: Patch, x: int, top: int, side: int) -> str:
    none = escape(texts.NOTHING_THERE)
    if patch.colour is None:
        return (
            f'<g class="no-swatch"><rect x="{x + 1}" y="{top + 1}" width="{side - 2}" height="{side - 2}"/>'
            f'<text class="swatch-none" x="{x + side / 2}" y="{top + side / 2 + 5}">{none}</text></g>'
        )
    shown = _on_screen(patch.colour.L, patch.colour.a, patch.colour.b)
    cut = 0 if shown.in_gamut else _CUT
    outline = f"M{x},{top}h{side - cut}l{cut},{cut}v{side - cut}h{-side}Z"
    title = joined([patch.name, wording.lab(patch.colour)], ": ")
    return f'<path d="{outline}" fill="{shown.hex}" shape-rendering="crispEdges"><title>{escape(title)}</title></path>'


def _edge(one: Patch, other: Patch, x: float, y: float) -> str:
    found = difference(one.colour, other.colour)
    if found is None:
        return ""
    return (
        f'<rect class="edge" x="{x - 21}" y="{y - 11}" width="42" height="24" rx="4"/>'
        f'<text class="edge-value" x="{x}" y="{y + 6}">{wording.one_decimal(found)}</text>'
    )


def _said(patches: Sequence[Patch]) -> str:
    return escape(joined([joined([patch.name, wording.lab(patch.colour)], ": ") for patch in patches], "; "))
