"""Single values as labs write them: numbers with point or comma, shares, points in time."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from datetime import UTC, datetime

from stainbook.language import say

_NUMERALS = re.compile(r"[0-9eE.,+\- ]+")  # keeps out nan, inf, 1_000 and other digits that float() takes
_FRACTION = re.compile(r"(\d{1,6})\s*/\s*(\d{1,6})")
_WITH_MARK = {
    ".": say("a number with a decimal point, one kind a file"),
    ",": say("a number with a decimal comma, one kind a file"),
}
_OTHER_MARK = {".": ",", ",": "."}
SHARE = say("a share above 0 and at most 1, as 0.125 or 1/8")
INSTANT = say("a date and time as 2026-03-02T10:40:00Z")


class Numerals:
    """Reads the numbers of one file; the first decimal mark met settles the kind for all of it."""

    def __init__(self, mark: str | None = None) -> None:
        self.mark = mark

    @property
    def expected(self) -> str:
        """What a number must look like here, for messages."""
        return _WITH_MARK[self.mark] if self.mark else say("a number")

    def parse(self, cells: Sequence[str]) -> list[float] | None:
        """Finite numbers of some cells, or None when one of them is none or has the other decimal mark."""
        joined = " ".join(cells).replace("−", "-")
        if not _NUMERALS.fullmatch(joined):
            return None
        first = re.search("[.,]", joined)
        if self.mark is None and first:
            self.mark = first.group()
        if self.mark and _OTHER_MARK[self.mark] in joined:
            return None
        return _floats(joined.replace(",", ".").split(" "), len(cells))

    def number(self, text: str) -> float | None:
        """One finite number, or None."""
        values = self.parse([text])
        return values[0] if values else None

    def share(self, text: str) -> float | None:
        """A share above 0 and at most 1, written as a number or a fraction, or None."""
        fraction = _FRACTION.fullmatch(text.strip())
        if fraction:
            top, bottom = int(fraction[1]), int(fraction[2])
            value: float | None = top / bottom if bottom else None
        else:
            value = self.number(text)
        return value if value is not None and 0.0 < value <= 1.0 else None


def _floats(words: list[str], count: int) -> list[float] | None:
    try:
        values = [float(word) for word in words]
    except ValueError:
        return None
    return values if len(values) == count and all(map(math.isfinite, values)) else None


def instant(text: str) -> datetime | None:
    """Give a point in time in ISO 8601, or None for what is none; without a zone it is taken as UTC.

    >>> instant("2026-03-01T14:05").isoformat(), instant("yesterday")
    ('2026-03-01T14:05:00+00:00', None)
    """
    try:
        value = datetime.fromisoformat(text)
    except (ValueError, OverflowError):
        return None
    return value if value.tzinfo else value.replace(tzinfo=UTC)
