"""Records to canonical JSON and back, and the hash of what was stored.

Canonical: keys sorted, no white space, ASCII only, shortest digits that give the same float.
Fields that are None are left out, so that a field added later does not change old hashes. The file
and row that a record came from are kept beside it: the same content from another file is the same.
"""

from __future__ import annotations

import dataclasses
import functools
import hashlib
import json
import math
from collections.abc import Mapping
from typing import Any, TypeVar

from pydantic import TypeAdapter

from stainbook.errors import BookError, InputError
from stainbook.language import say

R = TypeVar("R")


@functools.cache
def _adapter(cls: type[Any]) -> TypeAdapter[Any]:
    return TypeAdapter(cls)


def canonical(document: Mapping[str, Any]) -> str:
    """Canonical JSON of a document of plain values.

    Raises InputError for what JSON cannot hold: NaN, infinity, arrays and other objects.
    """
    try:
        return json.dumps(document, sort_keys=True, separators=(",", ":"), allow_nan=False)
    except (TypeError, ValueError) as error:
        raise InputError(
            say("cannot be stored: {error}; expected finite numbers, text, lists and mappings", error=error)
        ) from error


def encode(record: Any) -> str:
    """Give canonical JSON of a record, without its ``source``; raises InputError for values that JSON cannot hold.

    >>> from stainbook.kept import Operator
    >>> encode(Operator("bench-1"))
    '{"operator":"bench-1"}'
    """
    kind: Any = type(record)
    try:
        plain = _adapter(kind).dump_python(record, mode="json", exclude_none=True, exclude={"source"}, warnings="error")
    except ValueError as error:
        raise InputError(
            say("{record!r} cannot be stored: {reason}", record=record, reason=str(error).splitlines()[-1].strip())
        ) from error
    return canonical(plain)


def decode(cls: type[R], content: str, *, source: str | None = None) -> R:
    """The record of class ``cls`` that ``encode`` wrote.

    Raises BookError where the content is none.
    """
    kind: Any = cls
    try:
        record: R = _adapter(kind).validate_json(content)
        return record if source is None else dataclasses.replace(record, source=source)  # type: ignore[type-var]
    except (TypeError, ValueError) as error:
        reason = str(error).splitlines()[-1].strip()
        raise BookError(
            say(
                "the book holds a damaged {kind}: {content!r}; {reason}",
                kind=cls.__name__.lower(),
                content=content[:60],
                reason=reason,
            )
        ) from error


def hand_over(cls: Any, value: Any) -> str:
    """Give what was worked out as JSON for another program; raises InputError for what JSON cannot hold.

    cls : of the value; not as ``encode``, what is None is told, since nobody keeps it.

    >>> from stainbook.match.reasons import ZoneNote
    >>> hand_over(ZoneNote, ZoneNote("no firing", "glazed"))[:43]
    '{"lacks":null,"later":null,"no_stain":false'
    """
    return canonical(_adapter(cls).dump_python(value, mode="json", warnings="error"))


def take_over(cls: Any, content: str, *, context: Mapping[Any, Any] | None = None) -> Any:
    """Give what ``hand_over`` wrote, checked: it came from outside.

    context : what the schema of ``cls`` looks up
    Raises InputError where the content is none.

    >>> from stainbook.match.reasons import ZoneNote
    >>> take_over(ZoneNote, hand_over(ZoneNote, ZoneNote("no firing", "glazed"))).stage
    'glazed'
    """
    try:
        plain = json.loads(content, parse_constant=_finite, parse_float=_finite)
        return _adapter(cls).validate_python(plain, context=context)
    except (TypeError, ValueError, RecursionError) as error:
        reason = str(error).splitlines()[-1].strip()
        raise InputError(say("what was handed over is damaged: {reason}", reason=reason)) from error


def _finite(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        raise ValueError(text)
    return number


def digest(content: str, data: bytes | None = None) -> str:
    """SHA-256, hexadecimal, of canonical JSON and of the bytes kept with it."""
    found = hashlib.sha256(content.encode())
    if data is not None:
        found.update(b"\0" + data)
    return found.hexdigest()
