"""Reflectance over 400–700 nm: now, predicted and target, with the bands of their doubt."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from stainbook.pages import texts
from stainbook.pages.widgets.plot_style import SPECTRUM, Spec, chart, dashes, layer, number
from stainbook.work.views import Curve

DASHES: dict[str, Sequence[float]] = {texts.NOW: [1, 0], texts.PREDICTED: [6, 4], texts.TARGET: [1.5, 3]}


def spectra(curves: Sequence[Curve]) -> Spec:
    """The curves as one chart; their names are those of ``texts``."""
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
        [row for curve in curves for row in _rows(curve)],
        {"type": "line", "strokeWidth": 2},
        {**places, "strokeDash": dashes("name", DASHES), "tooltip": tips},
    )
    return chart(texts.SPECTRUM, SPECTRUM, [*bands, lines])


def _band(curve: Curve) -> list[dict[str, Any]]:
    bounds = zip(curve.wavelengths, curve.low, curve.high, strict=True)
    return [{"nm": nm, "percent": 100.0 * low, "high": 100.0 * high} for nm, low, high in bounds]


def _rows(curve: Curve) -> list[dict[str, Any]]:
    values = zip(curve.wavelengths, curve.reflectance, strict=True)
    return [{"name": curve.name, "nm": nm, "percent": 100.0 * factor} for nm, factor in values]
