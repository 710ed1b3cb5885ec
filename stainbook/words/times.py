"""Times on screens and in the PDF are local, to the minute; files keep UTC."""

from __future__ import annotations

from datetime import UTC, date, datetime

from stainbook.language import joined, say_as

_DAY_ALONE = len("2026-03-02")


def moment(at: str) -> str:
    """A time of the book or a file, ISO 8601, as the clock on the wall shows it, to the minute.

    A time without an offset is UTC, a date alone stays a date, and what is no time stays as it was written.

    >>> moment("2026-03-02"), moment("in spring")
    ('2026-03-02', 'in spring')
    """
    told = _local(at)
    if told is None:
        return at
    return joined([_day(told), f"{told:%H:%M}"], " ") if len(at) > _DAY_ALONE else _day(told)


def day(at: str) -> str:
    """The local date of a time, ISO 8601.

    >>> day("2026-03-02")
    '2026-03-02'
    """
    told = _local(at)
    return at[:_DAY_ALONE] if told is None else _day(told)


def _local(at: str) -> datetime | None:
    try:
        told = datetime.fromisoformat(at)
    except ValueError:
        return None
    if len(at) <= _DAY_ALONE:
        return told if at == f"{told:%Y-%m-%d}" else None
    return (told if told.tzinfo is not None else told.replace(tzinfo=UTC)).astimezone()


def _day(told: date) -> str:
    return written(*f"{told:%Y-%m-%d}".split("-"))


def written(year: str, month: str, day: str) -> str:
    """A date of its parts.

    >>> written("2026", "03", "02")
    '2026-03-02'
    """
    return say_as("a date", "{year}-{month}-{day}", year=year, month=month, day=day)
