"""The history of an exchange: each row that the book ever stored, a line of JSON each, and what is packed beside.

Whoever reads it sees who stored what and when, what was corrected and why. ``{"line": 12}`` names another line.
Fits' arrays and photos' copies lie beside as files, named by their hash.
"""

from __future__ import annotations

import hashlib
import itertools
import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from stainbook.book.history import Line
from stainbook.errors import FileError, InputError
from stainbook.files.text import at_row, read_text, write_text
from stainbook.inside import check_inside
from stainbook.language import say
from stainbook.private import make_folder, write

FOLDER = "history"
PLACES = rf"{FOLDER}/(?:\d{{4,6}}\.jsonl|[0-9a-f]{{64}}\.bin)"  # of its files, as a pattern
MOST_DATA = 2**26  # bytes of a packed file, as in a bundle
MOST_AGAIN = 2**28  # bytes of packed files that lines name another time: each stores them once more
_SIZE_A_FILE = 2**23  # characters: below the size of a text that is read
_EXPECTED = say(
    'a line such as {"n": 1, "at": "2026-03-02T10:40:00+00:00", "by": "bench-2", "kind": "stain", "record": {…}}'
)
_KEYS = {"n", "at", "by", "kind", "name", "record", "from", "data"}
_HASH = re.compile(r"[0-9a-f]{64}")


def write_history(lines: Sequence[Line], folder: Path) -> None:
    """Write a history into an exchange's folder; raises InputError where it cannot be written."""
    place = folder / FOLDER
    try:
        make_folder(place)
        for data in {line.data for line in lines if line.data is not None}:
            write(place / _data_name(data), data)
    except OSError as error:
        raise InputError(
            say("{place}: cannot be written ({reason}); choose another place", place=place, reason=error.strerror)
        ) from error
    for number, text in enumerate(_texts(lines), 1):
        write_text(place / f"{number:04d}.jsonl", text)


def _texts(lines: Sequence[Line]) -> Iterator[str]:
    """The lines as text, file by file."""
    some, size = [], 0
    for number, line in enumerate(lines, 1):
        some.append(f"{json.dumps(_plain(number, line), ensure_ascii=False)}\n")
        size += len(some[-1])
        if size > _SIZE_A_FILE:
            yield "".join(some)
            some, size = [], 0
    if some:
        yield "".join(some)


def _plain(number: int, line: Line) -> dict[str, Any]:
    said = {"n": number, "at": line.at, "by": line.by, "kind": line.kind, "name": line.name, "record": line.record}
    said |= {"from": line.source, "data": None if line.data is None else hashlib.sha256(line.data).hexdigest()}
    return {key: value for key, value in said.items() if value is not None}


def _data_name(data: bytes) -> str:
    return f"{hashlib.sha256(data).hexdigest()}.bin"


def read_history(folder: Path) -> tuple[Line, ...]:
    """The history that an exchange's folder holds, empty where it holds none.

    Raises FileError for a line that is none, that is not in its order, or whose data are not what they should be.
    """
    numbers, beside = itertools.count(1), _Beside()
    return tuple(line for path in sorted((folder / FOLDER).glob("*.jsonl")) for line in _lines(path, numbers, beside))


def _lines(path: Path, numbers: Iterator[int], beside: _Beside) -> Iterator[Line]:
    for row, text in enumerate(read_text(path, say("a history")).split("\n"), 1):
        if text.strip():
            yield _line(path, text, next(numbers), row, beside)


def _line(path: Path, text: str, number: int, row: int, beside: _Beside) -> Line:
    try:
        said = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise FileError(path, f"{text[:60]!r}", _EXPECTED, where=at_row(row)) from error
    if not (isinstance(said, dict) and said.keys() <= _KEYS and isinstance(said.get("record"), dict)):
        raise FileError(path, f"{text[:60]!r}", _EXPECTED, where=at_row(row))
    if said.get("n") != number:
        raise FileError(
            path,
            say("line {number!r:.20}", number=said.get("n")),
            say("line {number}", number=number),
            where=at_row(row),
        )
    texts = [said.get(key) for key in ("at", "by", "kind", "name", "from", "data")]
    if not all(one is None or isinstance(one, str) for one in texts) or None in texts[:3]:
        raise FileError(path, f"{text[:60]!r}", _EXPECTED, where=at_row(row))
    at, by, kind, name, source, data = texts
    kept = None if data is None else beside.data(path, data, row)
    return Line(str(kind), str(at), str(by), said["record"], name, source, kept)


@dataclass(slots=True)
class _Beside:
    """The packed files beside the lines, each read once."""

    _read: dict[str, bytes] = field(default_factory=dict)
    _again: int = 0

    def data(self, path: Path, name: str, row: int) -> bytes:
        if name not in self._read:
            self._read[name] = _data(path, name, row)
            return self._read[name]
        self._again += len(self._read[name])
        if self._again > MOST_AGAIN:
            found = say(
                "data {name!r:.20} once more, {megabytes} MB of such in all", name=name, megabytes=self._again >> 20
            )
            raise FileError(
                path,
                found,
                say("at most {megabytes} MB", megabytes=MOST_AGAIN >> 20),
                where=at_row(row),
            )
        return self._read[name]


def _data(path: Path, name: str, row: int) -> bytes:
    place = path.parent / f"{name}.bin"
    if not (_HASH.fullmatch(name) and place.is_file() and not place.is_symlink()):
        raise FileError(
            path,
            say("data {name!r:.80}", name=name),
            say("the name of a file of {folder}/", folder=FOLDER),
            where=at_row(row),
        )
    if place.stat().st_size > MOST_DATA:
        raise FileError(
            place, say("more than {megabytes} MB", megabytes=MOST_DATA >> 20), say("a packed file of at most that size")
        )
    check_inside(place)
    data = place.read_bytes()
    if hashlib.sha256(data).hexdigest() != name:
        raise FileError(place, say("other bytes than its name says"), say("the file as it was exported"))
    return data
