"""Times on screens and in the PDF are local, to the minute; files keep UTC."""

from __future__ import annotations

from datetime import UTC, datetime


def moment(at: str) -> str:
    """A time of the book or a file, ISO 8601, as the clock on the wall shows it, to the minute.

    A time without an offset is UTC, a date alone stays a date, and what is no time stays as it was written.

    >>> moment("2026-03-02"), moment("in spring")
    ('2026-03-02', 'in spring')
    """
    try:
        told = datetime.fromisoformat(at)
    except ValueError:
        return at
    if len(at) <= len("2026-03-02"):
        return at
    aware = told if told.tzinfo is not None else told.replace(tzinfo=UTC)
    return aware.astimezone().strftime("%Y-%m-%d %H:%M")


def day(at: str) -> str:
    """The local date of a time, ISO 8601.

    >>> day("2026-03-02")
    '2026-03-02'
    """
    return moment(at)[: len("2026-03-02")]
