"""What is told of a thing a second time: after what was told before, adding to it, or against it with a reason."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import fields
from typing import Any

from sqlalchemy import Row

from stainbook.book.journal import Entry
from stainbook.book.thing_words import thing_words
from stainbook.errors import InputError
from stainbook.language import say


def each_name_once(pairs: Iterable[tuple[Any, Entry]]) -> Iterator[list[tuple[Any, Entry]]]:
    """Parts of what is stored in one write: what tells of a thing again follows what told of it before."""
    part: dict[str, tuple[Any, Entry]] = {}
    for pair in pairs:
        if pair[1].name in part:
            yield list(part.values())
            part = {}
        part[pair[1].name] = pair
    yield list(part.values())


def only_adds(before: Any, after: Any) -> bool:
    """True when the second says all that the first says, and more."""
    pairs = [(getattr(before, one.name), getattr(after, one.name)) for one in fields(before)]
    return all(old in (None, ()) or old == new for old, new in pairs)


def corrected(row: Row[Any], why: str | None) -> Row[Any]:
    """The row that is corrected; raises InputError where nobody says why."""
    if why is None:
        raise InputError(
            say(
                "{kind} {name!r} is in the book since {at} and says something else; expected the "
                "same, or why it is corrected (--because)",
                kind=thing_words(row.kind),
                name=row.name,
                at=row.created_at[:19],
            )
        )
    return row
