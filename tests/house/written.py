"""Which public methods of `Lab` and its faces wrote to the book while something ran."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterator
from types import FrameType

import pytest

from stainbook.book.engines import Engines
from stainbook.faces.lab_view import LabFace, LabView


@contextlib.contextmanager
def writers() -> Iterator[set[str]]:
    """The names ``Class.method`` of the outermost methods under which a transaction that writes was begun."""
    found: set[str] = set()
    begin = Engines.writing

    def writing(self: Engines, lab: str | None = None) -> contextlib.AbstractContextManager[object]:
        outermost = _outermost(sys._getframe(1))
        if outermost:
            found.add(outermost)
        return begin(self, lab)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Engines, "writing", writing)
        yield found


def _outermost(frame: FrameType | None) -> str:
    name = ""
    while frame is not None:
        code, own = frame.f_code, frame.f_locals.get("self")
        if code.co_name == "ready":  # a book that is made at its first use tells nothing yet
            return ""
        if isinstance(own, LabView | LabFace) and not code.co_name.startswith("_") and code.co_name != "asked":
            name = code.co_qualname
        frame = frame.f_back
    return name
