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


def counted(count: int, thing: str) -> str:
    """A count with its noun, which takes its plural: ``1 zone``, ``3 mixes``.

    >>> counted(1, "zone"), counted(3, "mix")
    ('1 zone', '3 mixes')
    """
    ends = "es" if thing.endswith(("x", "s", "ch")) else "s"
    return f"{count} {thing}{ends if count != 1 else ''}"
