"""Numbers as screens and sheets show them."""

from __future__ import annotations

MINUS = "\u2212"


def tenths(value: float) -> str:
    """A number with one decimal, a real minus sign, and no minus before nothing.

    >>> tenths(7.34), tenths(-0.04)
    ('7.3', '0.0')
    """
    said = f"{value:.1f}".replace("-", MINUS)
    return said.removeprefix(MINUS) if not said.strip(f"{MINUS}0.") else said
