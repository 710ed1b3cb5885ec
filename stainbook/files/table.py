"""Tables of text cells as spreadsheets write them, each cell with its place for messages."""

from __future__ import annotations

import csv
import difflib
import re
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache
from itertools import chain
from pathlib import Path

from stainbook.errors import FileError
from stainbook.files.cells import disarmed, rearmed
from stainbook.files.text import at_row, check_rows, nearest, shown
from stainbook.files.values import INSTANT, SHARE, Numerals, instant
from stainbook.language import joined, say, say_n

_SOME_TEXT = say("some text")
MAX_LINE = 200_000  # characters; a spectrum at 1 nm with its words takes about 5,000
_SEPARATOR_LINE = re.compile(r'"?sep=.?"?', re.IGNORECASE)  # some spreadsheets put this above the header
_QUOTED = re.compile(r'"[^"\n]*"')
_QUOTE_ALSO = re.compile(r'["\n]|^#|^\s|\s$')


@dataclass(frozen=True, slots=True)
class Header:
    """What all rows of a file share: ``columns`` maps names in lower case to positions, ``titles`` are as written."""

    path: Path
    line: int
    titles: tuple[str, ...]
    columns: dict[str, int]
    numerals: Numerals = field(default_factory=Numerals)

    def title(self, column: str) -> str:
        """A column's name as the file writes it."""
        index = self.columns.get(column)
        return column if index is None else self.titles[index][:60]

    def fail(self, found: str, expected: str, *, hint: str | None = None) -> FileError:
        """The error to raise for the header."""
        return FileError(self.path, found, expected, where=say("row {line} (header)", line=self.line), hint=hint)

    def listed(self) -> str:
        """The first few titles, for messages."""
        return shown(", ".join(title for title in self.titles[:8] if title))


@dataclass(frozen=True, slots=True)
class Table:
    """The header and the filled rows of a CSV file."""

    header: Header
    rows: tuple[Row, ...]

    def unknown_columns(self, known: Collection[str]) -> tuple[str, ...]:
        """One warning for each column that is not among the known ones."""
        return tuple(_ignored(self.header, name, known) for name in self.header.columns if name not in known)


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its line in the file and its cells; every reading of a cell can fail with its place."""

    header: Header
    line: int
    cells: list[str]

    @property
    def source(self) -> str:
        """File and row, for messages."""
        return f"{self.header.path}: row {self.line}"

    def fail(self, column: str | None, found: str, expected: str, *, hint: str | None = None) -> FileError:
        """The error to raise for a cell (or, without a column, the row)."""
        where = (
            say("row {line}, column {column}", line=self.line, column=self.header.title(column))
            if column
            else at_row(self.line)
        )
        return FileError(self.header.path, found, expected, where=where, hint=hint)

    def text(self, column: str) -> str | None:
        """The text of a cell, None when it is empty or its column is not there."""
        index = self.header.columns.get(column)
        return (self.cells[index] or None) if index is not None else None

    def needed(self, column: str, expected: str = _SOME_TEXT) -> str:
        """The text of a cell that must be filled."""
        value = self.text(column)
        if value is None:
            raise self.fail(column, say("an empty cell"), expected)
        if "\n" in value:
            raise self.fail(column, shown(value), say("{expected} on one line", expected=expected))
        return value

    def choice(self, column: str, known: Sequence[str]) -> str | None:
        """One of the known words in lower case, in any case in the file; None for an empty cell."""
        value = self.text(column)
        if value is not None and value.lower() not in known:
            raise self.fail(
                column, shown(value), say("one of {known}", known=joined(known)), hint=nearest(value, known)
            )
        return value.lower() if value is not None else None

    def number(self, column: str) -> float | None:
        """A finite number, None for an empty cell."""
        value = self.text(column)
        return None if value is None else self.numbers([column], [value])[0]

    def numbers(self, columns: Sequence[str], cells: Sequence[str]) -> list[float]:
        """Finite numbers of several filled cells; the columns' names are for the message."""
        values = self.header.numerals.parse(cells)
        if values is not None:
            return values
        bad = next(i for i, cell in enumerate(cells) if self.header.numerals.number(cell) is None)
        raise self.fail(columns[bad], shown(cells[bad]), self.header.numerals.expected)

    def positive(self, column: str) -> float | None:
        """A number above 0, None for an empty cell."""
        value = self.number(column)
        if value is not None and value <= 0.0:
            raise self.fail(column, f"{value:g}", say("a number above 0"))
        return value

    def count(self, column: str, *, least: int = 1, most: int = 1000) -> int:
        """A whole number from ``least`` to ``most`` in a cell that must be filled."""
        expected = _whole_number(least, most)
        text = self.needed(column, expected)
        value = self.numbers([column], [text])[0]
        if value != int(value) or not least <= value <= most:
            raise self.fail(column, shown(text), expected)
        return int(value)

    def share(self, column: str) -> float:
        """A share of a pot in a cell that must be filled."""
        text = self.needed(column, SHARE)
        value = self.header.numerals.share(text)
        if value is None:
            raise self.fail(column, shown(text), SHARE)
        return value

    def instant(self, column: str) -> str | None:
        """The text of a point in time, checked; None for an empty cell."""
        value = self.text(column)
        if value is not None and instant(value) is None:
            raise self.fail(column, shown(value), INSTANT)
        return value


def parse_table(text: str, path: Path, *, required: Sequence[str]) -> Table:
    """Split text into a table by the separator that its header holds: ``;``, else tab, else comma.

    Blank lines, rows of empty cells and lines that begin with ``#`` are skipped.

    Raises
    ------
    FileError
        For a required column that is missing, a column named twice, a row of another length.
    """
    check_rows(text, path)
    lines = text.split("\n")
    start = next(
        (i for i, line in enumerate(lines) if not _skipped(line) and not _SEPARATOR_LINE.fullmatch(line)), None
    )
    if start is None:
        raise FileError(path, say("no header"), say("a header with {columns}", columns=joined(required)))
    separator = _separator(lines[start])
    records = _split(lines, start, separator, path)
    line, titles = next(records, (start + 1, []))
    header = header_of(tuple(" ".join(title.split()) for title in titles), path, line, required)
    rows = tuple(Row(header, line, cells) for line, cells in records)
    for row in rows:
        _check_width(row, separator)
    return Table(header, rows)


def format_table(header: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Write rows as comma-separated text that `parse_table` reads back, no cell of which a spreadsheet runs.

    >>> print(format_table(["sample", "notes"], [["tab", "=1+1"]]), end="")
    sample,notes
    tab,'=1+1
    """
    return "".join(",".join(map(_quoted, row)) + "\n" for row in chain([header], rows))


def _quoted(cell: str) -> str:
    cell = disarmed(cell)
    if "," in cell or ";" in cell or "\t" in cell or _QUOTE_ALSO.search(cell):
        return '"' + cell.replace('"', '""') + '"'
    return cell


def _skipped(line: str) -> bool:
    return not line.strip() or line.startswith("#")


def _separator(header: str) -> str:
    bare = _QUOTED.sub("", header)
    return next((mark for mark in (";", "\t") if mark in bare), ",")


def _split(lines: list[str], start: int, separator: str, path: Path) -> Iterator[tuple[int, list[str]]]:
    """Yield each filled record with the line it starts on; a quoted cell may run over several lines."""
    numbered = iter(enumerate(lines[start:], start + 1))
    for number, line in numbered:
        if _skipped(line):
            continue
        if len(line) > MAX_LINE:
            raise FileError(
                path,
                say_n("{n} character", "{n} characters", len(line)),
                say("at most {most} in a row", most=MAX_LINE),
                where=at_row(number),
            )
        rest = (f"{follower}\n" for _, follower in numbered)
        try:
            cells = next(csv.reader(chain([f"{line}\n"], rest), delimiter=separator, strict=True))
        except csv.Error as error:
            raise FileError(path, str(error), say("cells with paired quotes"), where=at_row(number)) from error
        cells = [rearmed(cell.strip()) for cell in cells]
        if any(cells):
            yield number, cells


def header_of(titles: tuple[str, ...], path: Path, line: int, required: Sequence[str]) -> Header:
    """The header of a table; raises FileError for a column named twice and a required one that is missing."""
    names = [title.lower().removesuffix("*").rstrip() for title in titles]
    header = Header(path, line, titles, {name: i for i, name in enumerate(names) if name})
    _check_required(header, required)
    twice = [name for name, count in Counter(names).items() if name and count > 1]
    if twice:
        raise header.fail(say("column {column} twice", column=shown(header.title(twice[0]))), say("each column once"))
    return header


@cache
def _whole_number(least: int, most: int) -> str:
    return say("a whole number from {least} to {most}", least=least, most=most)


def _check_required(header: Header, required: Sequence[str]) -> None:
    missing = [name for name in required if name not in header.columns]
    if missing:
        # a file that has nothing of them is none of the lab's tables: nothing of it is shown
        ours = len(missing) < len(required) or {"l", "a", "b"} <= header.columns.keys()
        found = say("columns {columns}", columns=header.listed()) if ours else say("none of its columns")
        raise header.fail(found, say("a column {column!r}", column=missing[0]))


def _check_width(row: Row, separator: str) -> None:
    """Refuse a row that lacks a cell or fills one that has no header; empty cells beyond it are let pass."""
    cells, titles = row.cells, row.header.titles
    if len(cells) < len(titles) or any(cells[len(titles) :]):
        more = len(cells) > len(titles) and separator == ","
        hint = say("here a number with a decimal comma needs quotes") if more else None
        raise row.fail(
            None, say_n("{n} cell", "{n} cells", len(cells)), say("{n} as in the header", n=len(titles)), hint=hint
        )
    stray = next((cell for cell, title in zip(cells, titles, strict=False) if cell and not title), None)
    if stray is not None:
        raise row.fail(None, say("{cell} under no header", cell=shown(stray)), say("a name above each column"))


def _ignored(header: Header, name: str, known: Collection[str]) -> str:
    near = difflib.get_close_matches(name, known, n=1, cutoff=0.7)
    ignored = say(
        "{path}: column {column} is not known here and was ignored", path=header.path, column=shown(header.title(name))
    )
    return joined([ignored, say("did you mean {name}?", name=near[0])], "; ") if near else ignored
