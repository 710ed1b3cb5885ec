"""Value or chroma of a stain against its share: the fit as lines, its stripes as dots."""

from __future__ import annotations

from collections.abc import Sequence

from stainbook.faces.stain_types import ShareColour
from stainbook.pages.lab import stripes_texts as words
from stainbook.pages.widgets.plot_style import Spec, chart, layer, number

SIZE = (270, 220)  # px
_TICKS = [6.25, 12.5, 25, 50, 100]  # % of share


def share_plot(colours: Sequence[ShareColour], axis: str) -> Spec:
    """``axis`` is L or C; shares are drawn on a scale on which each is twice the one before."""
    title = words.VALUE_AXIS if axis == "L" else words.CHROMA_AXIS
    places: Spec = {
        "x": number(
            "share", title=words.SHARE_AXIS, axis={"values": _TICKS, "format": "~g"},
            scale={"type": "log", "base": 2, "domain": [5.5, 115], "nice": False},
        ),
        "y": number("value", title=title, scale={"zero": False}),
        "tooltip": [{"field": "coats", "type": "nominal", "title": " "}, number("value", format=".1f", title=title)],
    }  # fmt: skip
    layers = []
    for coats, width in ((1, 1.5), (2, 3.5)):
        rows = [_row(one, axis) for one in colours if one.coats == coats]
        fit = [row for row, one in zip(rows, (c for c in colours if c.coats == coats), strict=True) if not one.read]
        read = [row for row, one in zip(rows, (c for c in colours if c.coats == coats), strict=True) if one.read]
        layers.append(layer(fit, {"type": "line", "strokeWidth": width}, places))
        layers.append(layer(read, {"type": "point", "filled": True, "size": 40 * width, "opacity": 1}, places))
    return chart("", SIZE, layers)


def _row(one: ShareColour, axis: str) -> dict[str, object]:
    said = words.COATS_NAME.get(one.coats, str(one.coats))
    return {"share": 100.0 * one.share, "value": one.L if axis == "L" else one.C, "coats": str(said)}
