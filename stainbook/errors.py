"""The errors that stainbook raises, and the exit status each one ends a command with.

::

    StainbookError            1   the one base; catch it to catch all
    ├── InputError            2   what was given is not usable: nothing was stored
    │   ├── FileError         2   a file: its name, the row or key, what was found, what was expected
    │   ├── AheadError        2   a time that is still to come
    │   ├── NotAllowedError   2   who signed in has not the role for it
    │   ├── UncalibratedError 2   nothing is known of any stain yet
    │   ├── ConditionsError   2   colours of different illuminant or observer would have been compared
    │   └── UnknownNameError  2   a name or option that is not known, with the nearest known ones
    ├── StoppedError          1   long work was stopped by whoever asked for it
    └── BookError             3   the book: cannot be opened, is newer than this version, was changed

Every message is one line that says what was found, what was expected and what to do next.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from pathlib import Path

from stainbook.language import Text, joined, say

MOST_NAMED = 10  # things that a message names; the others are counted
_USER = re.compile(r"(://[^\s/@:]*:)[^\s]+(?=@)")  # of a URL: user, password, up to the last @
_NO_HOST = re.compile(
    r"(\bpostgres[\w+]*://[^\s/@:]*:)(?!\d{1,5}(?![^\s/?'\"]))[^\s/?'\"@]+(?![^\s/?'\"]*@)"
)  # no port
_NAMED = re.compile(r"(?i)(\b(?:ssl)?password\s*=\s*)('[^']*'|[^\s&'\"]+)")
_HIDDEN = "***"
_LONGEST_SHOWN = 80  # characters of a name in a message


def masked(text: str) -> str:
    """Text with the passwords of URLs and of connection strings hidden."""
    hidden = text
    for password in (_USER, _NO_HOST, _NAMED):
        hidden = password.sub(rf"\g<1>{_HIDDEN}", hidden)
    return hidden if hidden != text else text  # a text without any stays one that other languages can show


def some_of(names: Iterable[object], *, most: int = MOST_NAMED) -> str:
    """Names for a message: all of a few, else the first ones and how many more."""
    texts = [name if isinstance(name, str) else str(name) for name in names]
    some = joined(texts[:most])
    return say("{some} and {n} more", some=some, n=len(texts) - most) if len(texts) > most else some


def message(error: BaseException) -> str:
    """What an error says, as a text that can be shown in another language where it is one."""
    first = error.args[0] if error.args else None
    return first if isinstance(first, Text) and str(error) == first else str(error)


def in_one_line(error: BaseException, *, most: int) -> str:
    """What an error of any kind says, in one line of at most so many characters; a short text stays a text.

    >>> in_one_line(ValueError("found two, expected three"), most=9)
    'found two'
    """
    said = message(error)
    line = " ".join(said.split())[:most]
    return said if said == line else line


class StainbookError(Exception):
    """Base of all errors of this package; its message shows no password."""

    exit_code = 1

    def __init__(self, *said: object) -> None:
        super().__init__(*(masked(one) if isinstance(one, str) else one for one in said))


class InputError(StainbookError):
    """What was given cannot be used; nothing was stored."""

    exit_code = 2


class FileError(InputError):
    """A file that cannot be used: names the file, the place in it, what was found and expected."""

    def __init__(
        self,
        path: Path | str,
        found: str,
        expected: str,
        *,
        where: str | None = None,
        hint: str | None = None,
    ) -> None:
        self.path = str(path)
        self.where = where
        self.found = found
        self.expected = expected
        self.hint = hint
        place = joined([self.path, where], ": ") if where else self.path
        said = say("{place}: found {found}, expected {expected}", place=place, found=found, expected=expected)
        super().__init__(joined([said, hint], "; ") if hint else said)


class ConditionsError(InputError):
    """Colours under different illuminant or observer would have been compared."""


class AheadError(InputError):
    """A time that is still to come: asked about before it is stored."""


class NotAllowedError(InputError):
    """Who signed in has not the role for what was asked, or is not signed in any more."""


class UncalibratedError(InputError):
    """Nothing is known of any stain yet: the first stripes come first."""


class UnknownNameError(InputError):
    """A name that is not known; the message lists the nearest known ones, or says ``none`` where there are none."""

    def __init__(self, what: str, name: str, known: Iterable[str], *, none: str = "") -> None:
        names = sorted({one[:_LONGEST_SHOWN] for one in known})
        self.name = name
        name = name if len(name) <= _LONGEST_SHOWN else f"{name[: _LONGEST_SHOWN - 1]}…"
        near = difflib.get_close_matches(name, names, n=3, cutoff=0.6)
        if near:
            known_ones = say("nearest known: {names}", names=some_of(near))
        else:
            known_ones = say("known: {names}", names=some_of(names) or say("none yet")) if names or not none else none
        super().__init__(say("unknown {what} {name!r}; {known_ones}", what=what, name=name, known_ones=known_ones))


class StoppedError(StainbookError):
    """Long work was stopped by whoever asked for it; nothing was stored."""


class BookError(StainbookError):
    """The book cannot be opened, read or written."""

    exit_code = 3
