"""The number of mixes against the chance that the whole case is accepted."""

from __future__ import annotations

from collections.abc import Sequence

from stainbook.pages.case import case_texts as words
from stainbook.pages.widgets.plot_style import Spec, chart, layer, number

SIZE = (220, 170)  # px: fits beside a table on a narrow tablet


def trade_plot(rows: Sequence[tuple[int, float, float]]) -> Spec:
    """Mixes, chance after this firing (a line with dots), chance within the firings left (hollow, dashed)."""
    values = [{"mixes": mixes, "accept": 100.0 * at_once, "within": 100.0 * within} for mixes, at_once, within in rows]
    across = number("mixes", title=words.TRADE_X, axis={"tickMinStep": 1, "format": "d"})
    scale = {"domain": [0, 100]}
    at_once = {"x": across, "y": number("accept", title=words.TRADE_Y, scale=scale)}
    within = {"x": across, "y": number("within", title=words.TRADE_Y, scale=scale)}
    dots = {"type": "point", "size": 70, "opacity": 1}
    return chart(
        "",
        SIZE,
        [
            layer(values, {"type": "line", "strokeDash": [5, 4], "strokeWidth": 1.5}, within),
            layer(values, {**dots, "filled": False}, within),
            layer(values, {"type": "line", "strokeWidth": 2}, at_once),
            layer(values, {**dots, "filled": True}, at_once),
        ],
    )
