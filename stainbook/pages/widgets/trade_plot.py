"""The number of mixes against the zones that are expected in tolerance."""

from __future__ import annotations

from collections.abc import Sequence

from stainbook.pages.case import case_texts as words
from stainbook.pages.widgets.plot_style import Spec, chart, layer, number

SIZE = (220, 170)  # px: fits beside a table on a narrow tablet


def trade_plot(rows: Sequence[tuple[int, float]], counted: int) -> Spec:
    """Mixes and zones expected in tolerance after this firing, of so many."""
    values = [{"mixes": mixes, "zones": zones} for mixes, zones in rows]
    across = number("mixes", title=words.TRADE_X, axis={"tickMinStep": 1, "format": "d"})
    up = number("zones", title=words.TRADE_Y, scale={"domain": [0, counted]}, axis={"tickMinStep": 1, "format": "d"})
    found = {"x": across, "y": up}
    line = layer(values, {"type": "line", "strokeWidth": 2}, found)
    return chart("", SIZE, [line, layer(values, {"type": "point", "size": 70, "opacity": 1, "filled": True}, found)])
