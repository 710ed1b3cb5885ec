"""Numbers as screens and sheets show them, with the decimal sign of the language that they are shown in."""

from __future__ import annotations

from stainbook.language import Text

MINUS = "\u2212"


def tenths(value: float) -> str:
    """A number with one decimal, a real minus sign, and no minus before nothing.

    >>> tenths(7.34), tenths(-0.04)
    ('7.3', '0.0')
    """
    return figure(value, ".1f")


def figure(value: float, form: str = "g") -> str:
    """A number in a format of Python's, a real minus sign, and no minus before nothing.

    >>> figure(0.5), figure(-3.25, "+.2f"), figure(-0.001, ".2f")
    ('0.5', '\u22123.25', '0.00')
    """
    return Text.of(f"{{number:{form}}}", {"number": _Signed(value)})


class _Signed(float):
    """A number with a real minus sign."""

    __slots__ = ()

    def __format__(self, form: str) -> str:
        said = super().__format__(form).replace("-", MINUS)
        return said.removeprefix(MINUS) if not said.strip(f"{MINUS}0.") else said
