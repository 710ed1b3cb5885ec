"""Stains, colours and firings of a dental ceramic lab: from readings to ranked next steps.

``stainbook.Lab`` is the way in for notebooks and scripts; it is loaded when it is first asked for.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from stainbook.lab import Lab

__version__ = "0.1.0"
__all__ = ["Lab", "__version__"]


def __getattr__(name: str) -> Any:
    if name == "Lab":
        from stainbook.lab import Lab

        return Lab
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
