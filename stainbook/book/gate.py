"""What a record must be to come into the book: what its files would refuse the book refuses too.

Text is kept in one form (NFC, no space around it); names hold no character that is not seen, and are of a length that
a sheet can show. Colours and times are those that a reading can have.
"""

from __future__ import annotations

import functools
import operator
import re
import unicodedata
from collections.abc import Hashable, Iterable, Iterator, Mapping
from dataclasses import fields, is_dataclass, replace
from typing import Any

from stainbook.book.mention import FREE
from stainbook.clock import check_time
from stainbook.errors import InputError
from stainbook.language import joined, say
from stainbook.records import LARGEST_FACTOR, LIGHTEST, MOST_CHROMATIC, SURFACES, TISSUES, LabRef, Reading

LONGEST_NAME = 200  # characters
LONGEST_TEXT = 10_000  # of a note
_SOURCES = ("source", "folder", "file")  # places on a disk: no text of the record
_TIMES = ("taken_at", "fired_at", "painted_at", "put_in_at", "ended_at", "at", "made_on", "opened_on", "run_out_on")
_NO_TEXT = frozenset({type(None), int, float, bool})
_NO_COLOUR = _NO_TEXT | {str}
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")
_UNSEEN = frozenset({"Cf", "Cs", "Co", "Zl", "Zp"})  # Unicode categories: format, surrogate, private, separators
_TURNED = re.compile("[\u202a-\u202e\u2066-\u2069]")  # turn the order in which text is shown
_DASHES = re.compile("[\u2010-\u2015\u2212\ufe58\ufe63\uff0d]")


def tidy(text: str) -> str:
    """Text in the one form in which the book keeps it.

    >>> tidy(" e\u0301bauche ")
    'ébauche'
    """
    return unicodedata.normalize("NFC", text).strip()


def looks(name: str) -> str:
    """What a name looks like: equal for names that differ in case, width, dashes or characters that are not seen.

    >>> looks("Bench‑1") == looks("bench-1")
    True
    """
    seen = "".join(c for c in unicodedata.normalize("NFKC", name) if unicodedata.category(c) != "Cf")
    return " ".join(_DASHES.sub("-", unicodedata.normalize("NFKC", seen.casefold())).split())


def alike(new: Iterable[str], known: Iterable[str]) -> Iterator[tuple[str, str]]:
    """Each new name with one that looks the same and is another."""
    seen: dict[str, str] = {}
    for name in known:
        seen.setdefault(looks(name), name)
    for name in new:
        before = seen.setdefault(looks(name), name)
        if before != name:
            yield name, before


def settled(record: Any) -> Any:
    """A record as the book keeps it.

    Raises InputError for text, colours and times that its files would refuse, AheadError for a time to come.
    """
    found = composed(record)
    where = place_of(found)
    check_text(found, where)
    check_colours(found, where)
    for name in _TIMES:
        if isinstance(at := getattr(found, name, None), str) and at:
            check_time(at, f"{where}, {name}")
    if isinstance(found, Reading):
        _check_reading(found, where)
    return found


def composed(value: Any) -> Any:
    """A record with all its text in the one form; the same one where it is so."""
    if type(value) in _NO_TEXT:
        return value
    if isinstance(value, str):
        return tidy(value)
    if isinstance(value, tuple) and value and not isinstance(value[0], float):
        found = tuple(map(composed, value))
        return value if all(map(operator.is_, found, value)) else found
    if (names := _texts_of(value.__class__)) is None:
        return value
    new = {}
    for name in names:
        before = getattr(value, name)
        after = composed(before)
        if after is not before and after != before:
            new[name] = after
    return replace(value, **new) if new else value


@functools.cache
def _texts_of(cls: Hashable) -> tuple[str, ...] | None:
    """Fields of a class of records that may hold text; None of what is no record."""
    if not (isinstance(cls, type) and is_dataclass(cls)):
        return None
    return tuple(
        one.name for one in fields(cls) if one.name not in _SOURCES and one.type not in ("int", "float", "bool")
    )


def place_of(record: Any) -> str:
    """How messages call a record: by where it came from, else by its kind and name."""
    source = getattr(record, "source", "")
    first = next((getattr(record, one.name) for one in fields(record) if one.name not in _SOURCES), "")
    return source or f"{type(record).__name__.lower()} {_short(str(first))}"


def check_text(value: Any, where: str, key: str = "") -> None:
    """Refuse text that a file could not hold or nobody could see; raises InputError.

    >>> check_text("bench-1", "account", "name")
    """
    if type(value) in _NO_TEXT:
        return
    if isinstance(value, str):
        _check_one(value, where, key)
    elif isinstance(value, Mapping):
        for name, one in value.items():
            check_text(one, where, str(name))
    elif isinstance(value, tuple | list):
        if value and not isinstance(value[0], float):
            for one in value:
                check_text(one, where, key)
    elif names := _texts_of(value.__class__):
        for name in names:
            check_text(getattr(value, name), where, name)


def _check_one(text: str, where: str, key: str) -> None:
    free = key in FREE
    longest = LONGEST_TEXT if free else LONGEST_NAME
    if len(text) > longest:
        raise InputError(
            say(
                "{where}: found {key} of {n} characters, expected at most {most}",
                where=where,
                key=key or say("text"),
                n=len(text),
                most=longest,
            )
        )
    if text.isascii() and text.isprintable():
        return
    odd = _CONTROL.search(text) or _TURNED.search(text)
    found = odd.group() if odd else None if free else next((c for c in text if _is_unseen(c)), None)
    if found is not None:
        raise InputError(
            say(
                "{where}: found the character U+{code:04X}, which is not seen in {key} {text}, expected letters; "
                "type it anew",
                where=where,
                code=ord(found),
                key=key or say("text"),
                text=_short(text),
            )
        )


def _is_unseen(character: str) -> bool:
    return character in "\n\t\r" or unicodedata.category(character) in _UNSEEN


def _short(text: str) -> str:
    return ascii(text if len(text) <= 40 else f"{text[:39]}…") if not text.isprintable() else repr(text[:40])


def _check_reading(reading: Reading, where: str) -> None:
    if not reading.sample:
        raise InputError(say("{where}: found a reading without a sample, expected its name", where=where))
    if reading.reflectance and not all(0.0 <= one <= LARGEST_FACTOR for one in reading.reflectance):
        low, high = min(reading.reflectance), max(reading.reflectance)
        raise InputError(
            say(
                "{where}: found a reflectance of {low:g} to {high:g}, expected a factor of 0 to {most:g}",
                where=where,
                low=low,
                high=high,
                most=LARGEST_FACTOR,
            )
        )
    for name, known in (("surface", SURFACES), ("tissue", TISSUES)):
        word = getattr(reading, name)
        if word is not None and word not in known:
            raise InputError(
                say(
                    "{where}: found {key} {word}, expected one of {known}",
                    where=where,
                    key=name,
                    word=_short(word),
                    known=joined(known),
                )
            )


def _check_lab(lab: tuple[float, float, float], where: str) -> None:
    lightness, a, b = lab
    if not (0.0 <= lightness <= LIGHTEST and abs(a) <= MOST_CHROMATIC and abs(b) <= MOST_CHROMATIC):
        raise InputError(
            say(
                "{where}: found L* {lightness:g}, a* {a:g}, b* {b:g}, expected L* from 0 to 100, a* and b* from "
                "-{most:g} to {most:g}",
                where=where,
                lightness=lightness,
                a=a,
                b=b,
                most=MOST_CHROMATIC,
            )
        )


def check_colours(record: Any, where: str) -> None:
    """Refuse L*, a*, b* anywhere in a record that no surface has; raises InputError."""
    if type(record) in _NO_COLOUR:
        return
    own = record.lab if isinstance(record, LabRef | Reading) else None
    if own is not None:
        _check_lab(own, where)
    elif names := _texts_of(record.__class__):
        for name in names:
            check_colours(getattr(record, name), where)
    elif isinstance(record, tuple) and record and _texts_of(record[0].__class__) is not None:
        for one in record:
            check_colours(one, where)
