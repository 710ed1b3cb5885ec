"""What deep work has to tell the person: commands and pages listen and show it beside their results.

Where nobody listens, as in a script, it goes to the log ``stainbook``.
"""

from __future__ import annotations

import contextlib
import logging
from collections.abc import Callable, Iterator
from contextvars import ContextVar

_heard: ContextVar[list[str] | None] = ContextVar("heard", default=None)
_watching: ContextVar[Callable[[str], None] | None] = ContextVar("watching", default=None)
_log = logging.getLogger("stainbook")


def progress(where: str) -> None:
    """Say how far long work is; whoever listens shows it when the work has taken a while."""
    show = _watching.get()
    if show is not None:
        show(where)


@contextlib.contextmanager
def watching(show: Callable[[str], None]) -> Iterator[None]:
    """Let a function hear how far work inside is."""
    token = _watching.set(show)
    try:
        yield
    finally:
        _watching.reset(token)


def tell(notice: str) -> None:
    """Say something once, in one line."""
    heard = _heard.get()
    if heard is None:
        _log.warning("%s", notice)
    elif notice not in heard:
        heard.append(notice)


@contextlib.contextmanager
def hearing() -> Iterator[list[str]]:
    """Listen to what is told inside; gives the list that it comes into."""
    heard: list[str] = []
    token = _heard.set(heard)
    try:
        yield heard
    finally:
        _heard.reset(token)


def heard_so_far() -> list[str]:
    """What was told since the last asking, to be shown now."""
    heard = _heard.get()
    if not heard:
        return []
    found = list(heard)
    heard.clear()
    return found
