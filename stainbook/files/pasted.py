"""Typed or pasted L*, a*, b*: with or without header, names, decimal commas; and readings named by their order."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from stainbook.errors import FileError
from stainbook.files.readings_csv import DASHES, LAB_COLUMNS, Parsed, readings_of
from stainbook.files.table import Row, Table, header_of, parse_table
from stainbook.files.text import at_row, shown
from stainbook.language import say, say_n

_LABEL = re.compile(r"(?<![\w/-])[LABlab]\*?\s*[=:]?\s*(?=[-+−]?\d)")  # as displays show it: L* 72.4 a* 1.2 b* 15.0
_NUMBER = re.compile(r"[-+−]?\d+(?:[.,]\d+)?")
_MANY = 16  # wavelengths from 400 to 700 nm by 20
_TITLES = ("L", "a", "b")
_EXPECTED = say("L*, a*, b* in each row, with or without a name before them, as 72.4 1.2 15.0")


def parse_pasted(text: str, path: Path, order: Sequence[str] = ()) -> Parsed:
    """Parse rows of L*, a*, b* as people type them or a spreadsheet copies them.

    With a header it is read as readings.csv, where a column ``sample`` may be missing if there is an order.

    Parameters
    ----------
    order : the samples' names in the order in which they were read; row n is the n-th, and a row with a dash alone, or
        whose numbers are empty, stands for one that was not read

    Raises
    ------
    FileError
        For rows that are no colour, rows without a name, and more or fewer rows than the order has.
    """
    lines = [(number, line) for number, line in enumerate(text.split("\n"), 1) if line.strip() and line[0] != "#"]
    if lines and not _is_bare(_cells(lines[0][1])):
        table = parse_table(text, path, required=() if order else ("sample",))
    else:
        table = _bare_table(lines, path)
    return readings_of(_named(table, order, path))


def in_order(parsed: Parsed, order: Sequence[str], source: str) -> Parsed:
    """Readings whose file names them in its own way, named by their order.

    Raises
    ------
    FileError
        For more or fewer readings than the order has.
    """
    _check_count(len(parsed.readings), order, source)
    renamed = [replace(reading, sample=name) for reading, name in zip(parsed.readings, order, strict=True)]
    return parsed._replace(readings=renamed)


def _bare_table(lines: Sequence[tuple[int, str]], path: Path) -> Table:
    """Rows without header: three numbers, and what stands before them is the name."""
    split = [(number, _cells(line)) for number, line in lines]
    for number, cells in split:
        if not _numbers(cells):
            raise FileError(path, shown(" ".join(cells)), _EXPECTED, where=at_row(number))
    titles = (*_TITLES, "sample") if any(len(cells) > 3 for _, cells in split) else _TITLES
    header = header_of(titles, path, split[0][0] if split else 1, ())
    rows = [
        Row(header, number, [*cells[-3:], *([" ".join(cells[:-3])] if len(titles) > 3 else [])])
        for number, cells in split
    ]
    return Table(header, tuple(rows))


def _cells(line: str) -> list[str]:
    """The cells of a line: at tabs, else semicolons, else white space, else commas."""
    bare = _LABEL.sub("", line.strip())
    mark = next((mark for mark in ("\t", ";") if mark in bare), None)
    if mark:
        return [cell.strip() for cell in bare.rstrip(mark).split(mark)]
    words = re.split(r",?\s+", bare)
    found = words if len(words) >= 3 or words[-1] in DASHES else [cell.strip() for cell in bare.split(",")]
    return found if found[-1] not in DASHES or len(found) > 2 else [*found[:-1], *(3 * [found[-1]])]


def _is_bare(cells: Sequence[str]) -> bool:
    """Tell a row of L*, a*, b* from a header; that of spectra ends in many numbers."""
    many = len(cells) >= _MANY and all(map(_NUMBER.fullmatch, cells[-_MANY:]))
    return _numbers(cells) and not many


def _numbers(cells: Sequence[str]) -> bool:
    last = cells[-3:]
    return len(last) == 3 and (all(map(_NUMBER.fullmatch, last)) or all(cell in DASHES for cell in last))


def _named(table: Table, order: Sequence[str], path: Path) -> Table:
    """The table with a column of names: its own, else those of the order."""
    if not order:
        if "sample" not in table.header.columns:
            raise FileError(
                path,
                say("rows without names"),
                say("a name before each L*, a*, b*, or an order"),
                hint=say("see --order"),
            )
        return table
    _check_count(len(table.rows), order, str(path))
    table = Table(table.header, tuple(map(_filled, table.rows)))
    if "sample" in table.header.columns:
        place = table.header.columns["sample"]
        rows = [
            _renamed(row, place, name, number)
            for number, (row, name) in enumerate(zip(table.rows, order, strict=True), 1)
        ]
        return Table(table.header, tuple(rows))
    header = header_of((*table.header.titles, "sample"), path, table.header.line, ())
    width = len(table.header.titles)
    rows = [Row(header, row.line, [*row.cells[:width], name]) for row, name in zip(table.rows, order, strict=True)]
    return Table(header, tuple(rows))


def _filled(row: Row) -> Row:
    """A row of a sheet whose numbers were left empty: it was not read."""
    columns = row.header.columns
    if not all(name in columns for name in LAB_COLUMNS) or any(row.text(name) for name in LAB_COLUMNS):
        return row
    at = columns[LAB_COLUMNS[0]]
    return replace(row, cells=[DASHES[0] if i == at else cell for i, cell in enumerate(row.cells)])


def _renamed(row: Row, place: int, name: str, number: int) -> Row:
    """A row under the name that the order has; one that names another sample is no row of this order."""
    own = row.cells[place]
    if own and own not in (name, str(number)):
        raise row.fail(
            "sample",
            shown(own),
            say("{name}, row {number} of the order", name=shown(name), number=number),
            hint=say("was a zone left out?"),
        )
    return replace(row, cells=[name if i == place else cell for i, cell in enumerate(row.cells)])


def _check_count(count: int, order: Sequence[str], source: str) -> None:
    if count != len(order):
        hint = say("was a zone read twice or left out? A row with - alone stands for one that was not read")
        raise FileError(
            source,
            say_n("{n} row", "{n} rows", count),
            say("{n}, one for each row of the order", n=len(order)),
            hint=hint,
        )
