"""Bytes of a file from outside to text: size and kind checked first, then the encoding."""

from __future__ import annotations

import difflib
import os
import re
import stat
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from stainbook.errors import FileError
from stainbook.inside import check_inside
from stainbook.language import say, say_n
from stainbook.private import write

MAX_TABLE_BYTES = 64 * 2**20  # a year of readings at 1 nm is about a tenth of it
MOST_ROWS = 100_000  # of one table: read and stored in half a minute of one core; a year of readings is about half
MAX_YAML_BYTES = 4 * 2**20  # a case or a list of stains is a few kB
_MARKS = ((b"\xef\xbb\xbf", "utf-8"), (b"\xff\xfe", "utf-16-le"), (b"\xfe\xff", "utf-16-be"))
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")
_OPEN = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)  # also when a pipe took its place
_SAVE_AS_TEXT = say("save it as text in UTF-8")


@dataclass(frozen=True, slots=True)
class NamedFile:
    """A file that was brought as its bytes, with the name that messages call it."""

    name: str
    data: bytes

    def __fspath__(self) -> str:
        return self.name

    def __str__(self) -> str:
        return self.name


Source = Path | str | NamedFile


def read_text(path: Source, what: str, *, limit: int = MAX_TABLE_BYTES) -> str:
    r"""Read a text file in UTF-8 (with or without mark) or marked UTF-16, line ends as ``\n``.

    ``what`` names the kind of file in messages, ``limit`` is its largest size in bytes.

    Raises
    ------
    FileError
        When it is missing, no regular file, too large, empty, not text, or not in these encodings.

    >>> read_text(NamedFile("tab.csv", b"sample,L\r\ntab,72\r\n"), "a readings file")
    'sample,L\ntab,72\n'
    """
    brought = path.data if isinstance(path, NamedFile) else None
    path = Path(path)
    data = _read_bytes(path, what, limit) if brought is None else brought
    _check_size(len(data), path, what, limit)
    text = decode_text(data, path, what)
    return text.replace("\r\n", "\n").replace("\r", "\n")


def write_text(path: Path | str, text: str) -> None:
    """Write text as UTF-8, whole and for its owner alone; raises InputError when the place cannot be written.

    >>> write_text("note.txt", "ΔE00 0.8")
    >>> Path("note.txt").read_text("utf-8")
    'ΔE00 0.8'
    """
    write(path, text)


def check_rows(text: str, path: Path) -> None:
    """Refuse a table of more rows than are read in a reasonable time, before any of them is looked at."""
    rows = max(text.count("\n"), text.count("ObjectType="))  # of CxF3, whose objects may stand on one line
    if rows > MOST_ROWS:
        hint = say("split it by samples or by days")
        raise FileError(
            path,
            say_n("{n:,} row", "{n:,} rows", rows),
            say("at most {most_rows:,} in one file", most_rows=MOST_ROWS),
            hint=hint,
        )


def _read_bytes(path: Path, what: str, limit: int) -> bytes:
    check_inside(path)
    try:
        _check_kind(path, path.stat(), what)  # before it is opened, which could hang on a pipe or a device
        with os.fdopen(os.open(path, _OPEN), "rb") as stream:
            before = os.fstat(stream.fileno())
            _check_kind(path, before, what)
            data = stream.read(limit + 1) if before.st_size <= limit else b""
            after = os.fstat(stream.fileno())
    except FileNotFoundError as error:
        raise FileError(path, say("no such file"), what, hint=say("check the name and the folder")) from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise FileError(path, say("that it cannot be read ({reason})", reason=reason), what) from error
    _check_size(max(before.st_size, len(data)), path, what, limit)
    if (before.st_size, before.st_mtime_ns, len(data)) != (after.st_size, after.st_mtime_ns, after.st_size):
        hint = say("let the program that writes it finish, then try again")
        raise FileError(path, say("a file that changed while it was read"), what, hint=hint)
    return data


def _check_size(size: int, path: Path, what: str, limit: int) -> None:
    if size > limit:
        raise FileError(
            path,
            say("more than {megabytes:g} MB", megabytes=limit / 2**20),
            say("{what} of at most that size", what=what),
            hint=say("split it"),
        )


def _check_kind(path: Path, status: os.stat_result, what: str) -> None:
    if not stat.S_ISREG(status.st_mode):
        kind = say("a folder") if stat.S_ISDIR(status.st_mode) else say("a pipe or device")
        raise FileError(path, kind, what, hint=say("give the file itself"))


def decode_text(data: bytes, path: Path, what: str) -> str:
    """Decode what a file holds; raises FileError when it is empty, binary or in another encoding."""
    if data.startswith(b"PK\x03\x04"):
        raise FileError(
            path, say("a spreadsheet workbook or zip archive"), what, hint=say("save the sheet as CSV in UTF-8")
        )
    mark, encoding = next((pair for pair in _MARKS if data.startswith(pair[0])), (b"", "utf-8"))
    body = data[len(mark) :]
    try:
        text = body.decode(encoding)
    except UnicodeDecodeError as error:
        line = body[: error.start].decode(encoding, "ignore").count("\n") + 1
        found = say("bytes that are not {encoding}", encoding=encoding.upper())
        raise FileError(
            path,
            found,
            say("{what} in UTF-8 or UTF-16", what=what),
            where=at_row(line),
            hint=_SAVE_AS_TEXT,
        ) from error
    control = _CONTROL.search(text)
    if control:
        found = say("the control character U+{code:04X}", code=ord(control.group()))
        line = text.count("\n", 0, control.start()) + 1
        raise FileError(path, found, say("{what} as text", what=what), where=at_row(line), hint=_SAVE_AS_TEXT)
    if not text.strip():
        raise FileError(path, say("an empty file"), what)
    return text


def control_character(text: str) -> bool:
    """Tell whether text holds a control character other than tab and line ends."""
    return _CONTROL.search(text) is not None


def at_row(line: int) -> str:
    """A row as the place of an error.

    >>> at_row(3)
    'row 3'
    """
    return say("row {line}", line=line)


def nearest(word: str, known: Iterable[str]) -> str | None:
    """A hint at the known word that another may be meant for, None where none is near."""
    near = difflib.get_close_matches(word.lower(), list(known), n=1)
    return say("did you mean {name}?", name=near[0]) if near else None


def shown(value: str, *, limit: int = 60) -> str:
    """Quote a value from outside for a message: on one line, escaped, shortened."""
    return repr(value if len(value) <= limit else value[: limit - 1] + "…")
