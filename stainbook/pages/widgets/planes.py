"""The a*b* and the L*C* plane around a target, on equal axes, with the contours of the thresholds."""

from __future__ import annotations

from typing import Any

from stainbook.faces.view_types import Floats, ZoneSeen, contour, ellipse, half_span, in_plane, lab_of, limits_of
from stainbook.pages.case import case_texts as words
from stainbook.pages.shell import texts
from stainbook.pages.widgets.plot_style import INK, PLANE, Spec, chart, dashes, layer, number
from stainbook.work.documents.schemas import AdvisedZone, ColourResult

AXES = {"ab": ("a*", "b*"), "LC": ("C*", "L*")}
DASHES = {"visible": [1, 0], "tolerance": [5, 4]}
_MARKS: dict[str, Spec] = {  # in the order of painting
    "target": {"shape": "cross", "filled": True, "size": 130},
    "now": {"shape": "circle", "filled": True, "size": 110},
    "predicted": {"shape": "circle", "filled": False, "size": 130, "strokeWidth": 2.5},
}


def titles() -> dict[str, str]:
    """What each plane shows."""
    return {"ab": texts.PLANE_AB, "LC": texts.PLANE_LC}


def planes(zone: AdvisedZone, expected: ColourResult | None, seen: ZoneSeen | None = None) -> list[Spec]:
    """Both planes as charts; none without a target.

    seen : the way of the zone through its firings, and the doubt of what is expected
    """
    if zone.target is None:
        return []
    seen = seen or ZoneSeen()
    others = [
        lab_of(colour) for colour in (zone.now, expected, *(one.colour for one in seen.path)) if colour is not None
    ]
    span = half_span(lab_of(zone.target), others, limits_of(zone).acceptable)
    return [_plane(zone, zone.target, expected, seen, plane, span) for plane in AXES]


def _plane(
    zone: AdvisedZone, target: ColourResult, expected: ColourResult | None, seen: ZoneSeen, plane: str, span: float
) -> Spec:
    centre = in_plane(lab_of(target), plane).tolist()
    places = {
        place: number(place, title=name, axis=_axis(place), scale=_scale(middle, span))
        for place, name, middle in zip(("x", "y"), AXES[plane], centre, strict=True)
    }
    colours = {"target": target, "now": zone.now, "predicted": expected}
    names = {"target": texts.TARGET, "now": texts.NOW, "predicted": texts.PREDICTED}
    rows = {name: _row(names[name], colours[name], plane) for name in _MARKS if colours[name] is not None}
    way = [_row(words.FIRED_BEFORE, one.colour, plane) for one in seen.path if one.measured]
    way += [rows[name] for name in ("now", "predicted") if name in rows]
    ordered = [{**row, "order": order} for order, row in enumerate(way)]
    path = layer(ordered, {"type": "line", "strokeWidth": 1.5, "opacity": 0.7}, {**places, "order": number("order")})
    before = [
        layer(
            [_row(name, one.colour, plane) for one in seen.path if one.measured == measured],
            {"type": "point", "opacity": 1, "shape": "circle", "filled": measured, "size": 45, "strokeWidth": 1.5},
            {**places, "tooltip": _tips()},
        )
        for name, measured in ((words.EXPECTED_BEFORE, False), (words.FIRED_BEFORE, True))
        if any(one.measured == measured for one in seen.path)
    ]
    points = [
        layer([row], {"type": "point", "opacity": 1, **_MARKS[name]}, {**places, "tooltip": _tips()})
        for name, row in rows.items()
    ]
    doubt = [_doubt(expected, seen.doubt, plane, places)] if expected is not None and seen.doubt is not None else []
    return chart(
        titles()[plane], (PLANE, PLANE), [_contours(zone, target, plane, places), *doubt, path, *before, *points]
    )


def _doubt(expected: ColourResult, covariance: Floats, plane: str, places: Spec) -> Spec:
    """Where nine of ten come out."""
    around = ellipse(lab_of(expected), covariance, plane=plane).round(3).tolist()
    rows = [{"x": across, "y": up, "order": order} for order, (across, up) in enumerate(around)]
    look = {"type": "line", "strokeWidth": 1.2, "strokeDash": [1.5, 2.5], "fill": INK, "fillOpacity": 0.12}
    return layer(rows, look, {**places, "order": number("order")})


def _scale(middle: float, span: float) -> Spec:
    return {"domain": [middle - span, middle + span], "nice": False, "zero": False}


def _axis(place: str) -> Spec:
    upright = {"titleAngle": 0, "titlePadding": 12} if place == "y" else {}
    return {"tickCount": 5, "format": ".0f", **upright}


def _contours(zone: AdvisedZone, target: ColourResult, plane: str, places: Spec) -> Spec:
    limits = limits_of(zone)
    rows = [
        {"x": across, "y": up, "order": order, "contour": name}
        for name, radius in (("visible", limits.perceptible), ("tolerance", limits.acceptable))
        for order, (across, up) in enumerate(contour(lab_of(target), radius, plane=plane).round(3).tolist())
    ]
    look = {"type": "line", "strokeWidth": 1.5}
    return layer(rows, look, {**places, "order": number("order"), "strokeDash": dashes("contour", DASHES)})


def _tips() -> list[Spec]:
    name = {"field": "name", "type": "nominal", "title": " "}
    return [name, *(number(axis, format=".1f", title=f"{axis}*") for axis in "Lab")]


def _row(name: str, colour: ColourResult | None, plane: str) -> dict[str, Any]:
    assert colour is not None
    x, y = in_plane(lab_of(colour), plane).tolist()
    return {"name": name, "x": x, "y": y, "L": colour.L, "a": colour.a, "b": colour.b}
