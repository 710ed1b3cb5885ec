"""Reflectance over 400–700 nm: now, predicted and target, with the bands of their doubt."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from stainbook.faces.view_types import Curve
from stainbook.pages.shell import texts
from stainbook.pages.widgets.plot_style import COATS, FONT, SPECTRUM, Spec, chart, dashes, layer, number

_LINE_OF_TEXT = 0.07  # of the height of a chart, with room
_ROOM_FOR_NAMES = {"values": [400, 500, 600, 700]}
DASHES: dict[str, Sequence[float]] = {"now": [1, 0], "predicted": [6, 4], "target": [1.5, 3]}


def spectra(curves: Sequence[Curve]) -> Spec:
    """The curves as one chart: now, predicted and target."""
    named = {"now": texts.NOW, "predicted": texts.PREDICTED, "target": texts.TARGET}
    places = {
        "x": number("nm", title=texts.WAVELENGTH, scale={"domain": [400, 700], "nice": False}, axis={"tickCount": 4}),
        "y": number("percent", title=texts.REFLECTANCE, scale={"zero": False}),
    }
    band = {"type": "area", "opacity": 0.18}
    bands = [layer(_band(curve), band, {**places, "y2": {"field": "high"}}) for curve in curves if curve.low]
    tips = [
        {"field": "name", "type": "nominal", "title": " "},
        number("nm"),
        number("percent", format=".1f", title="%"),
    ]
    lines = layer(
        [{**row, "kind": curve.name, "name": named[curve.name]} for curve in curves for row in _rows(curve)],
        {"type": "line", "strokeWidth": 2},
        {**places, "strokeDash": dashes("kind", DASHES), "tooltip": tips},
    )
    return chart(texts.SPECTRUM, SPECTRUM, [*bands, lines])


def _band(curve: Curve) -> list[dict[str, Any]]:
    bounds = zip(curve.wavelengths, curve.low, curve.high, strict=True)
    return [{"nm": nm, "percent": 100.0 * low, "high": 100.0 * high} for nm, low, high in bounds]


def _rows(curve: Curve) -> list[dict[str, Any]]:
    values = zip(curve.wavelengths, curve.reflectance, strict=True)
    return [{"name": curve.name, "nm": nm, "percent": 100.0 * factor} for nm, factor in values]


def coats(title: str, curves: Sequence[Curve]) -> Spec:
    """One coat of a stain by its share: the bare plate, then each share, named at the end of its line."""
    named = [Curve(_share(one.name), one.wavelengths, one.reflectance, one.low, one.high) for one in curves]
    places = {
        "x": number("nm", title=texts.WAVELENGTH, scale={"domain": [400, 780], "nice": False}, axis=_ROOM_FOR_NAMES),
        "y": number("percent", title=texts.REFLECTANCE, scale={"zero": False}),
    }
    band = {"type": "area", "opacity": 0.18}
    bands = [layer(_band(curve), band, {**places, "y2": {"field": "high"}}) for curve in named if curve.low]
    lines = layer(
        [row for curve in named for row in _rows(curve)],
        {"type": "line", "strokeWidth": 2},
        {**places, "detail": {"field": "name", "type": "nominal"}},
    )
    ends = layer(
        _apart([_rows(curve)[-1] for curve in named], _reach(named)),
        {"type": "text", "align": "left", "dx": 5, "fontSize": FONT, "clip": False},
        {**places, "text": {"field": "name", "type": "nominal"}},
    )
    return chart(title, COATS, [*bands, lines, ends])


def _apart(ends: Sequence[dict[str, Any]], reach: float) -> list[dict[str, Any]]:
    """Names of lines that end close together, moved apart so that each can be read; ``reach`` is that of the chart."""
    ordered = sorted(ends, key=lambda row: float(row["percent"]))
    least = reach * _LINE_OF_TEXT
    placed: list[dict[str, Any]] = []
    for row in ordered:
        lowest = float(placed[-1]["percent"]) + least if placed else float(row["percent"])
        placed.append({**row, "percent": max(float(row["percent"]), lowest)})
    return placed


def _reach(curves: Sequence[Curve]) -> float:
    """From the lowest to the highest that a chart shows, in percent."""
    lows = [100.0 * min(curve.low or curve.reflectance) for curve in curves]
    highs = [100.0 * max(curve.high or curve.reflectance) for curve in curves]
    return max(highs) - min(lows)


def _share(name: str) -> str:
    return texts.COATS[name] if name in texts.COATS else texts.SHARES[float(name)]
