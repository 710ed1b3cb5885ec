"""Names of hues."""

from __future__ import annotations

from math import atan2, degrees

_HUES = ((0.0, "red"), (90.0, "yellow"), (180.0, "green"), (270.0, "blue"), (360.0, "red"))
_NEXT_HUE = 15.0  # degrees: a colour is not said to turn towards what it already is


def hue_angle(a: float, b: float) -> float:
    """CIELAB hue in degrees, 0 to 360."""
    return degrees(atan2(b, a)) % 360.0


def hue_towards(h: float, dH: float) -> str:
    """The hue that a colour of hue ``h`` (degrees) nears when it turns by the sign of ΔH′.

    >>> hue_towards(85.0, 1.0), hue_towards(85.0, -1.0)
    ('green', 'red')
    """
    if dH > 0:
        return next((name for at, name in _HUES if at > h + _NEXT_HUE), "yellow")
    return next((name for at, name in reversed(_HUES) if at < h - _NEXT_HUE), "blue")
