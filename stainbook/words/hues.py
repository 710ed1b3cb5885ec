"""Names of hues."""

from __future__ import annotations

from math import atan2, degrees

from stainbook.language import say_as

_HUES = ((0.0, "red"), (90.0, "yellow"), (180.0, "green"), (270.0, "blue"), (360.0, "red"))
_TOWARDS = {
    "red": say_as("turns hue towards", "red"),
    "yellow": say_as("turns hue towards", "yellow"),
    "green": say_as("turns hue towards", "green"),
    "blue": say_as("turns hue towards", "blue"),
}
_TOO = {
    "red": say_as("too", "red"),
    "yellow": say_as("too", "yellow"),
    "green": say_as("too", "green"),
    "blue": say_as("too", "blue"),
}
_NEXT_HUE = 15.0  # degrees: a colour is not said to turn towards what it already is


def hue_angle(a: float, b: float) -> float:
    """CIELAB hue of a* and b*, in degrees from 0 to 360.

    >>> round(hue_angle(1.6, 17.0), 1)
    84.6
    """
    return degrees(atan2(b, a)) % 360.0


def hue_towards(h: float, dH: float) -> str:
    """The hue that a colour nears when it turns.

    Parameters
    ----------
    h : hue of the colour, degrees
    dH : ΔH′, of which the sign counts; positive turns from red towards yellow

    >>> hue_towards(85.0, 1.0), hue_towards(85.0, -1.0)
    ('green', 'red')
    """
    return _TOWARDS[_towards(h, dH)]


def too_much_of(h: float, dH: float) -> str:
    """What a colour is too much of when it is off from hue ``h`` by the sign of ΔH′: "too red"."""
    return _TOO[_towards(h, dH)]


def _towards(h: float, dH: float) -> str:
    if dH > 0:
        return next((name for at, name in _HUES if at > h + _NEXT_HUE), "yellow")
    return next((name for at, name in reversed(_HUES) if at < h - _NEXT_HUE), "blue")
