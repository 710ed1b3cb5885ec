"""Outlines drawn over a picture by mouse, pen or finger."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
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


def draw_outlines(
    source: str,
    size: tuple[int, int],
    shapes: Mapping[str, Sequence[Sequence[float]]],
    *,
    label: str,
    most: int | None,
    key: str,
    on_outline: Callable[[Points], None],
) -> None:
    """Show a picture with named outlines; ``on_outline`` gets each one that is newly drawn, in the picture's pixels.

    most : points after which an outline closes by itself; None for any number, and rectangles by dragging
    """

    def drawn() -> None:
        found = st.session_state[key].get("outline")
        if found:
            on_outline([[float(x), float(y)] for x, y in found])

    data = {
        "source": source,
        "width": size[0],
        "height": size[1],
        "shapes": [{"label": name, "points": [list(point) for point in points]} for name, points in shapes.items()],
        "label": label,
        "most": most,
        "round": f"{most} {len(shapes)}",
    }
    _component()(key=key, data=data, on_outline_change=drawn)
