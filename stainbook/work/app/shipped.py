"""Where the files beside the package are: in the wheel, else in the checkout."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).parents[2]


def shipped(name: str) -> Path:
    """The path of ``app.py`` or ``recipes``, as an installed wheel or a checkout holds it."""
    inside = _PACKAGE / "_shipped" / name
    return inside if inside.exists() else _PACKAGE.parent / name
