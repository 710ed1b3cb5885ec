"""Differences from a target as value, chroma and hue: ``1.9 too dark``, never an arrow that looks like an order."""

from __future__ import annotations

from stainbook.language import say
from stainbook.words.figures import tenths
from stainbook.words.hues import too_much_of

ON_TARGET = 0.5  # L*, C*, H* units: a smaller difference is not worth a word
RIGHT = say("on target")


def value(dL: float) -> str:
    """Value of the piece against its target.

    Parameters
    ----------
    dL : ΔL′, piece minus target, in CIELAB units

    >>> value(3.21), value(-0.3)
    ('3.2 too light', 'on target')
    """
    if abs(dL) < ON_TARGET:
        return RIGHT
    size = tenths(abs(dL))
    return say("{size} too light", size=size) if dL > 0 else say("{size} too dark", size=size)


def chroma(dC: float) -> str:
    """Chroma of the piece against its target.

    Parameters
    ----------
    dC : ΔC′, piece minus target, in CIELAB units

    >>> chroma(-1.94)
    '1.9 too weak'
    """
    if abs(dC) < ON_TARGET:
        return RIGHT
    size = tenths(abs(dC))
    return say("{size} too strong", size=size) if dC > 0 else say("{size} too weak", size=size)


def hue(dH: float, h: float) -> str:
    """Hue of the piece against its target, as the colour towards which it is off.

    Parameters
    ----------
    dH : ΔH′, piece minus target, in CIELAB units
    h : hue of the target, degrees

    >>> hue(-1.0, 80.0)
    '1.0 too red'
    """
    if abs(dH) < ON_TARGET:
        return RIGHT
    return say("{size} too {hue}", size=tenths(abs(dH)), hue=too_much_of(h, dH))
