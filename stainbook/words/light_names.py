"""Lights and observers as screens name them: a bare "A" over zones of teeth is read as a shade."""

from __future__ import annotations

from stainbook.language import joined, say, say_as

_LIGHTS = {
    "D65": say("daylight (CIE D65)"),
    "D50": say("warm daylight (CIE D50)"),
    "A": say("lamp light (CIE A)"),
    "F11": say("shop light (CIE F11)"),
    "F2": say("office light (CIE F2)"),
    "LED-B3": say("LED light (CIE LED-B3)"),
}
_SHORT = {
    "D65": say_as("light, for the head of a narrow column", "daylight"),
    "D50": say_as("light, for the head of a narrow column", "warm"),
    "A": say_as("light, for the head of a narrow column", "lamp"),
    "F11": say_as("light, for the head of a narrow column", "shop"),
    "F2": say_as("light, for the head of a narrow column", "office"),
    "LED-B3": say_as("light, for the head of a narrow column", "LED"),
}
OWN_SCALE = say("the instrument's own scale")


def light(illuminant: str) -> str:
    """A light in words; one without words of its own keeps its CIE name.

    >>> light("A"), light("D55")
    ('lamp light (CIE A)', 'CIE D55')
    """
    return _LIGHTS.get(illuminant, f"CIE {illuminant}")


def short(illuminant: str) -> str:
    """The first word of a light, for the head of a narrow column.

    >>> short("F11"), short("D55")
    ('shop', 'CIE D55')
    """
    return _SHORT.get(illuminant, f"CIE {illuminant}")


def viewing(illuminant: str | None, observer: int | None) -> str:
    """Light and observer in words.

    Parameters
    ----------
    illuminant : a name of the CIE; None or ``unknown`` where the colour is on an instrument's own scale
    observer : 2 or 10, degrees; None likewise

    >>> viewing("D65", 10), viewing(None, None)
    ('daylight (CIE D65), 10°', "the instrument's own scale")
    """
    if observer is None or illuminant in (None, "unknown"):
        return OWN_SCALE
    return joined([light(str(illuminant)), f"{observer}°"])
