"""What follows from a book, kept as long as nothing newer is in it: one page asks for its case some thirty times."""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable
from typing import Any, TypeVar

T = TypeVar("T")
MOST = 200  # of a lab; three a case


class KeptAnswers:
    """Results by lab and by what they are of; threads may share it."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._labs: dict[str, dict[Hashable, tuple[Hashable, Any]]] = {}
        self._local = threading.local()

    def kept(
        self, lab: str, marked: Callable[[], Hashable], key: Hashable, make: Callable[[], T], *, of_all: bool = True
    ) -> T:
        """What was made under a key while the lab's book had the mark that ``marked`` asks for, else made now.

        of_all : the mark is that of the whole book, so that what is asked for on the way to an answer needs no other:
            it is of before ``make`` looks, and what is stored between the two is read once more
        """
        outer: tuple[str, Hashable] | None = getattr(self._local, "outer", None)
        mark = outer[1] if of_all and outer is not None and outer[0] == lab else marked()
        with self._lock:
            found = self._labs.setdefault(lab, {})
            if key in found and found[key][0] == mark:
                found[key] = found.pop(key)  # the newest used last
                kept: T = found[key][1]
                return kept
        if of_all:
            self._local.outer = lab, mark
        try:
            made = make()
        finally:
            self._local.outer = outer
        with self._lock:
            found.pop(key, None)
            found[key] = mark, made
            while len(found) > MOST:
                found.pop(next(iter(found)))
        return made

    def clear(self) -> None:
        """Forget all of them."""
        with self._lock:
            self._labs.clear()
