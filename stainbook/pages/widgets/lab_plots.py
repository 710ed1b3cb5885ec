"""Plots of what the lab does: shares with their intervals, counts, factors with what is likely."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from stainbook.colour.control import BEYOND
from stainbook.language import joined
from stainbook.pages.lab import numbers_texts as words
from stainbook.pages.lab import stains_texts as stain_words
from stainbook.pages.shell.plain import bare
from stainbook.pages.widgets.plot_style import INK, Spec, chart, layer, number
from stainbook.stage_words import RETURNED
from stainbook.work.documents.book_schemas import Learnt
from stainbook.work.documents.day_schemas import ControlResult
from stainbook.work.documents.number_schemas import NumbersRow
from stainbook.work.documents.trust_schemas import TrustBin

WIDTH = 240  # px
CONTROL = (230, 110)  # px: beside the list of stains, on a tablet too
_ROW, _ROOM = 30, 20  # px a row, and around them


def shares_plot(rows: Sequence[NumbersRow]) -> Spec:
    """The share of units accepted after their first firing, a dot on the line of what is likely."""
    points = [
        {
            "name": bare(row.name),
            "share": 100.0 * (row.first_firing or 0.0),
            "low": 100.0 * (row.first_firing_low or 0.0),
            "high": 100.0 * (row.first_firing_high or 1.0),
            "units": row.judged,
        }
        for row in rows
    ]
    return intervals(words.PLOT, points, "share", words.AXIS, domain=(0.0, 100.0))


def intervals(
    title: str, points: Sequence[Mapping[str, Any]], value: str, axis: str, *, domain: tuple[float, float],
    mark: float | None = None,
) -> Spec:  # fmt: skip
    """Named values as dots on lines from ``low`` to ``high``; ``mark`` is drawn across all rows."""
    names = {"field": "name", "type": "nominal", "title": None, "sort": None, "axis": {"labelLimit": 150, "grid": True}}
    across = {"domain": list(domain), "nice": False, "zero": False}
    line = layer(
        points,
        {"type": "rule", "strokeWidth": 2},
        {"y": names, "x": number("low", title=axis, scale=across), "x2": {"field": "high"}},
    )
    dots = layer(
        points,
        {"type": "point", "filled": True, "size": 70, "opacity": 1},
        {"y": names, "x": number(value, title=axis, scale=across), "tooltip": _tips(points, value)},
    )
    at = {"x": number("at", title=axis, scale=across)}
    marks = [layer([{"at": mark}], {"type": "rule", "strokeDash": [4, 4]}, at)]
    size = (WIDTH, _ROW * len(points) + _ROOM)
    return chart(title, size, [*(marks if mark is not None else ()), line, dots])


def _tips(points: Sequence[Mapping[str, Any]], value: str) -> list[Spec]:
    heads = stain_words.TIPS
    shown = [name for name in (value, "low", "high", "units", "outcomes") if name in points[0]]
    numbers = (number(name, format=".3~g", title=heads[name]) for name in shown)
    return [{"field": "name", "type": "nominal", "title": " "}, *numbers]


def reliability_plot(bins: Sequence[TrustBin]) -> Spec:
    """What came of claimed chances, a dot on the line of what is likely; on the slanted line the two agree."""
    points = [
        {
            "expected": 100.0 * (one.claimed or 0.0),
            "came out": 100.0 * (one.met or 0.0),
            "low": 100.0 * (one.met_low or 0.0),
            "high": 100.0 * (one.met_high or 0.0),
            "zones": one.zones,
        }
        for one in bins
    ]
    whole: Spec = {"scale": {"domain": [0.0, 100.0], "nice": False}}
    places = {"x": number("expected", title=words.TRUST_X, **whole)}
    ends = {**places, "y": number("low", title=words.TRUST_Y, **whole), "y2": {"field": "high"}}
    dots = {**places, "y": number("came out", title=words.TRUST_Y, **whole)}
    heads = {**stain_words.TIPS, "expected": words.TRUST_X, "came out": words.TRUST_Y}
    tips = [number(name, format=".3~g", title=heads[name]) for name in ("expected", "came out", "low", "high", "zones")]
    agree = [{"expected": 0.0, "came out": 0.0}, {"expected": 100.0, "came out": 100.0}]
    layers = [
        layer(agree, {"type": "line", "strokeDash": [4, 4], "strokeWidth": 1}, dots),
        layer(points, {"type": "rule", "strokeWidth": 2}, ends),
        layer(points, {"type": "point", "filled": True, "size": 70, "opacity": 1}, {**dots, "tooltip": tips}),
    ]
    return chart(words.TRUST_PLOT, (WIDTH, WIDTH), layers)


def reasons_plot(returned: Mapping[str, int]) -> Spec:
    """How many firings came back, by reason."""
    rows = [{"reason": bare(RETURNED.get(reason, reason)), "firings": n} for reason, n in returned.items()]
    names = {"field": "reason", "type": "nominal", "title": None, "sort": "-x"}
    ticks = {"tickMinStep": 1, "format": "d"}
    bars = layer(
        rows,
        {"type": "bar", "height": 14, "opacity": 0.7},
        {"y": names, "x": number("firings", title=words.REASON_AXIS, axis=ticks)},
    )
    return chart(words.REASONS, (WIDTH, _ROW * len(rows) + _ROOM), [bars])


def jars_plot(learnt: Sequence[Learnt]) -> Spec:
    """Jars and hands as factors of what the stripes were made with, with what is likely."""
    points = [
        {"name": bare(one.name), "factor": one.factor, "low": one.low, "high": one.high, "outcomes": one.outcomes}
        for one in learnt
    ]
    ends = [value for one in learnt for value in (one.low, one.high)]
    domain = (min(0.7, *ends) - 0.05, max(1.4, *ends) + 0.05)
    return intervals(stain_words.JARS_PLOT, points, "factor", stain_words.JARS_AXIS, domain=domain, mark=1.0)


def control_plot(found: ControlResult, axis: str, *, last: bool) -> Spec:
    """An individuals chart of one axis, as ISO 7870-2 draws it: points joined, centre, limits, signals ringed."""
    values = [getattr(point, axis) for point in found.points]
    centre, sigma = getattr(found.centre, axis), getattr(found.sigma, axis)
    rows = [
        {
            "n": n,
            "value": value,
            "day": (point.taken_at or "")[:10],
            "signals": bare(joined(_own(point.signals, axis), "; ")),
        }
        for n, (point, value) in enumerate(zip(found.points, values, strict=True), 1)
    ]
    reach = max(4.0 * sigma, *(abs(value - centre) for value in values))
    places = {
        "x": number(
            "n",
            title=stain_words.CHART_X if last else None,
            axis={"tickMinStep": 1, "format": "d", "tickCount": 6},
            scale={"domain": [0.5, len(rows) + 0.5], "nice": False, "zero": False},
        ),
        "y": number("value", title=f"{axis}*", scale={"domain": [centre - reach, centre + reach], "nice": False}),
    }
    limits = [{"value": centre + BEYOND * sigma}, {"value": centre - BEYOND * sigma}]
    heads = stain_words.TIPS
    tips = [
        {"field": "day", "type": "nominal", "title": heads["day"]},
        number("value", format=".2f", title=f"{axis}*"),
        {"field": "signals", "type": "nominal", "title": heads["signals"]},
    ]
    layers = [
        layer([{"value": centre}], {"type": "rule", "strokeWidth": 1.5}, {"y": places["y"]}),
        layer(limits, {"type": "rule", "strokeDash": [6, 4], "strokeWidth": 1.5}, {"y": places["y"]}),
        layer(
            rows,
            {"type": "line", "strokeWidth": 1.5, "point": {"filled": True, "size": 45, "color": INK}},
            places | {"tooltip": tips},
        ),
        layer([row for row in rows if row["signals"]], {"type": "point", "size": 220, "strokeWidth": 2}, places),
    ]
    return chart("", CONTROL, layers)


def _own(signals: Sequence[str], axis: str) -> list[str]:
    return [one for one in signals if one.startswith(f"{axis}*")]
