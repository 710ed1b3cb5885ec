"""One look for all plots, which are Vega-Lite specifications: sizes, and one ink, the theme's own text colour.

The theme that is in use is known to the browser alone (Streamlit calls every ground below half luminance
dark, and the bench is), so plots are drawn as SVG in ``currentColor`` and follow it by themselves. They are
written as plain mappings: checking each part of a chart object takes a quarter of a second a click.
"""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

from stainbook.language import number_signs

Spec = dict[str, Any]

INK = "currentColor"
PLANE = 236  # px, both sides: equal axes
SPECTRUM = (330, 236)  # px
COATS = (400, 260)  # px
FONT = 13  # px
LINE = (PLANE + 40) // 8  # letters of a title that stand in a line
_CONFIG: Spec = {
    "background": "transparent",
    "padding": 6,
    "font": "inherit",
    "view": {"stroke": INK, "strokeOpacity": 0.6, "strokeWidth": 1},
    "axis": {
        "labelColor": INK,
        "titleColor": INK,
        "gridColor": INK,
        "gridOpacity": 0.25,
        "domainColor": INK,
        "tickColor": INK,
        "labelFontSize": FONT,
        "titleFontSize": FONT,
        "titleFontWeight": "normal",
    },
    "title": {"color": INK, "fontSize": FONT + 1, "fontWeight": 600, "anchor": "start", "limit": PLANE + 40},
}


def chart(title: str, size: tuple[int, int], layers: Sequence[Spec]) -> Spec:
    """A chart of layers in the common look; ``size`` is that of the plot without its axes, px."""
    width, height = size
    return {
        "title": textwrap.wrap(title, LINE) or "",
        "width": width,
        "height": height,
        "layer": list(layers),
        "autosize": {"type": "pad", "contains": "content"},
        "usermeta": {"embedOptions": {"renderer": "svg"}},
        "config": _CONFIG | {"locale": {"number": _number_signs()}},
    }


def _number_signs() -> Spec:
    point, thousands = number_signs()
    return {"decimal": point, "thousands": thousands, "grouping": [3], "currency": ["", ""]}


def layer(rows: Sequence[Mapping[str, Any]], mark: Spec, encoding: Spec) -> Spec:
    """One kind of mark over its own rows, in the common ink, cut off at the plot's edge."""
    return {"data": {"values": list(rows)}, "mark": {"color": INK, "clip": True, **mark}, "encoding": encoding}


def number(field: str, **more: Any) -> Spec:
    """A measured quantity."""
    return {"field": field, "type": "quantitative", **more}


def dashes(field: str, by_name: Mapping[str, Sequence[float]]) -> Spec:
    """The dash of a line by the name of what it shows; legends are drawn apart."""
    scale = {"domain": list(by_name), "range": [list(dash) for dash in by_name.values()]}
    return {"field": field, "type": "nominal", "legend": None, "scale": scale}
