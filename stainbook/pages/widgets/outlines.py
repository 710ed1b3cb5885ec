"""Outlines drawn over a picture by mouse, pen or finger."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import streamlit as st

_HERE = Path(__file__).parent

Points = list[list[float]]


@cache
def _component() -> Callable[..., Any]:
    return st.components.v2.component(
        "stainbook_outlines",
        html='<div class="outlines"></div>',
        css=(_HERE / "outlines.css").read_text(encoding="utf-8"),
        js=(_HERE / "outlines.js").read_text(encoding="utf-8"),
    )


@dataclass(frozen=True, slots=True)
class Handlers:
    """What is to be done with an outline that was drawn (or one point, tapped), moved, removed."""

    drawn: Callable[[Points], None]
    moved: Callable[[str, Points], None] | None = None
    removed: Callable[[str], None] | None = None


def draw_outlines(
    source: str,
    size: tuple[int, int],
    shapes: Mapping[str, Sequence[Sequence[float]]],
    *,
    label: str,
    most: int | None,
    key: str,
    handlers: Handlers,
    mode: str = "draw",
    fixed: Collection[str] = (),
    dashed: Collection[str] = (),
) -> None:
    """Show a picture with named outlines in its own pixels, and let them be drawn, moved or removed.

    most : points after which an outline closes by itself; None for any number, and rectangles by dragging
    mode : ``draw``, ``tap``, ``move`` or ``remove``
    fixed, dashed : names of outlines that stay where they are, and of those that are drawn in dashes
    """

    def state(name: str) -> Any:
        return st.session_state[key].get(name)

    def drawn() -> None:
        if found := state("outline"):
            handlers.drawn(_points(found))

    def moved() -> None:
        if handlers.moved and (found := state("moved")):
            handlers.moved(found["label"], _points(found["points"]))

    def removed() -> None:
        if handlers.removed and (found := state("removed")):
            handlers.removed(found)

    data = {
        "source": source,
        "width": size[0],
        "height": size[1],
        "shapes": [
            {"label": name, "points": [list(point) for point in points], "fixed": name in fixed, "open": name in dashed}
            for name, points in shapes.items()
        ],
        "label": label,
        "most": most,
        "mode": mode,
        "round": f"{most} {mode} {len(shapes)}",
    }
    _component()(key=key, data=data, on_outline_change=drawn, on_moved_change=moved, on_removed_change=removed)


def _points(found: Sequence[Sequence[float]]) -> Points:
    return [[float(x), float(y)] for x, y in found]
