"""Differences from a target as value, chroma and hue: ``1.9 too dark``, never an arrow that looks like an order."""

from __future__ import annotations

from stainbook.words.figures import tenths
from stainbook.words.hues import hue_towards

ON_TARGET = 0.5  # L*, C*, H* units: a smaller difference is not worth a word
RIGHT = "on target"


def value(dL: float) -> str:
    """Value of the piece against its target.

    Parameters
    ----------
    dL : ΔL′, piece minus target, in CIELAB units

    >>> value(3.21), value(-0.3)
    ('3.2 too light', 'on target')
    """
    return _told(dL, "light", "dark")


def chroma(dC: float) -> str:
    """Chroma of the piece against its target.

    Parameters
    ----------
    dC : ΔC′, piece minus target, in CIELAB units

    >>> chroma(-1.94)
    '1.9 too weak'
    """
    return _told(dC, "strong", "weak")


def hue(dH: float, h: float) -> str:
    """Hue of the piece against its target, as the colour towards which it is off.

    Parameters
    ----------
    dH : ΔH′, piece minus target, in CIELAB units
    h : hue of the target, degrees

    >>> hue(-1.0, 80.0)
    '1.0 too red'
    """
    return _told(dH, hue_towards(h, 1.0), hue_towards(h, -1.0))


def _told(delta: float, above: str, below: str) -> str:
    return RIGHT if abs(delta) < ON_TARGET else f"{tenths(abs(delta))} too {above if delta > 0 else below}"
