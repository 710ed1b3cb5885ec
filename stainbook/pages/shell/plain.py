"""Text of files, books and people on a page: shown as it is, never as Markdown, and nothing is fetched for it.

Our own words are Markdown: `ours` marks them, and what is put into them by ``format`` is made plain. Text that stands
alone goes through `plain`. What is made plain stays so inside other words of ours. Where no Markdown is read (options,
cells, plots) text goes through `bare`.
"""

from __future__ import annotations

import re
import sys
import unicodedata
from collections.abc import Mapping
from types import ModuleType
from typing import Any, SupportsIndex, cast

from stainbook.errors import message
from stainbook.language import Numbered, shown, shown_number, spoken
from stainbook.words.places import zone_name

LONGEST = 300  # characters of a name or message on a page; the rest is cut off
_JOINER = "\u2060"  # word joiner: not seen, and between two signs it keeps them from being one sign of Markdown
_ENTITIES = {"&": "&amp;", "<": "&lt;", ">": "&gt;"}
_SIGNS = re.compile(r"([\\`*_\[\]{}|$~])")
_BLOCK = re.compile(r"(?m)^[ \t]*(?:([#+=-])|(\d{1,9})([.)])(?=\s|$))")
_PARTED = re.compile(r":(?=[A-Za-z/])|@|\bwww(?=\.)|(?<=!)(?=\\\[)", re.IGNORECASE)
_UNSEEN = frozenset({"Cf", "Cc", "Cs", "Co"})


class Ours(str):
    """Words of our own, in Markdown; what is put into them is made plain."""

    __slots__ = ()

    def format(self, *values: object, **named: object) -> Ours:
        """The words with values put in; those that are words of ours stay as they are."""
        return Ours(str.format(self, *map(_put_in, values), **{name: _put_in(one) for name, one in named.items()}))

    def __add__(self, other: str) -> Ours:
        return Ours(str.__add__(self, other))

    def strip(self, chars: str | None = None) -> Ours:
        """As of any text."""
        return Ours(str.strip(self, chars))

    def replace(self, old: str, new: str, count: SupportsIndex = -1) -> Ours:
        """As of any text."""
        return Ours(str.replace(self, old, new, count))


def plain(text: object, *, longest: int | None = LONGEST) -> Ours:
    """Text from outside as Markdown that shows it as it is, on one line or on its own lines, nothing of it hidden.

    longest : characters at most; None for a note, which is shown whole
    """
    if isinstance(text, Ours):
        return text
    said = bare(text)
    if longest is not None and len(said) > longest:
        said = f"{said[: longest - 1]}…"
    said = "".join("\ufffd" if c != "\n" and unicodedata.category(c) in _UNSEEN else c for c in said)
    said = _BLOCK.sub(
        lambda found: f"\\{found[1]}" if found[1] else f"{found[2]}\\{found[3]}", _SIGNS.sub(r"\\\1", said)
    )
    said = _PARTED.sub(lambda found: found[0] + _JOINER, "".join(_ENTITIES.get(c, c) for c in said))
    return Ours(said.replace("\n", "  \n"))


def bare(text: object) -> str:
    """Text as options, cells and plots show it: in the language that is spoken, with nothing made of its signs."""
    return (
        shown(message(text)) if isinstance(text, BaseException) else shown(text) if isinstance(text, str) else str(text)
    )


def named_zone(zone: str) -> str:
    """A zone's key as a list of options shows it."""
    return bare(zone_name(zone))


def counted(text: str | Numbered, n: int, **others: object) -> Ours:
    """Words of ours about ``n`` things, with what else stands in them made plain."""
    values = {name: _put_in(one) for name, one in others.items()}
    return Ours(shown(text.of(n, **values)) if isinstance(text, Numbered) else text.format(n=n, **values))


def _put_in(value: object) -> object:
    return plain(value) if isinstance(value, str | BaseException) else shown_number(value)


class WordsModule(ModuleType):
    """A module of words, which gives them in the language that is spoken when it is asked."""

    def __getattribute__(self, name: str) -> Any:
        """A word of the module; what was not marked by `say` is as it is written there."""
        value = super().__getattribute__(name)
        if name.startswith("_") or not name.isupper():
            return value
        language = spoken()
        known: dict[tuple[str, str], Any] = super().__getattribute__("__dict__").setdefault("_known", {})
        if (name, language) not in known:
            known[name, language] = _in_words(value)
        return known[name, language]


def ours(name: str) -> None:
    """Let a module, by its ``__name__``, give its words as Markdown of our own in the language that is spoken."""
    sys.modules[name].__class__ = WordsModule


def _in_words(value: Any) -> Any:
    if isinstance(value, str):
        return Ours(shown(value))
    if isinstance(value, Mapping):
        return type(value)({key: _in_words(one) for key, one in value.items()}) if type(value) is dict else value
    if type(value) in (tuple, list):
        return cast(Any, type(value))(map(_in_words, value))
    return value
