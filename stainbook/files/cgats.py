"""CGATS.17 (ISO 28178) tables of readings, in the dialects that instruments write."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from pathlib import Path

from stainbook.errors import FileError
from stainbook.files.cgats_fields import columns_of, is_paired, unpaired, unused_in
from stainbook.files.file_light import UNSTATED
from stainbook.files.readings_csv import Parsed, illuminant_name, readings_of
from stainbook.files.table import Row, Table, header_of
from stainbook.files.text import at_row, shown
from stainbook.language import joined, say, say_n
from stainbook.records import Viewing

STANDARD_VIEWING = Viewing("D50", 2)  # what ISO 28178 means where a header does not state another
_TOKEN = re.compile(r'"(?:[^"]|"")*"(?=\s|$)|[^\s"]\S*')
_KEYWORD = re.compile(r"[A-Za-z_][\w/.-]*")
_LIGHT = re.compile(r"ILLUMIN\w*[\s,=:]+(D\d\d|F\d\d?|FL\d\d?|LED-?\w+|[ACE]|unknown)\b", re.IGNORECASE)
_OBSERVER = re.compile(r"OBSERVER\w*[\s,=:]+(?:CIE\s*)?(10|2|1964|1931|unknown)(?!\d)", re.IGNORECASE)
_OBSERVERS = {"2": 2, "10": 10, "1931": 2, "1964": 10, "unknown": 0}
_SAID_ONCE = {  # keywords that hold for every row that does not say otherwise
    "INSTRUMENTATION": "instrument",
    "MEASUREMENT_GEOMETRY": "geometry",
    "SAMPLE_BACKING": "backing",
    "SCALE": "scale",
}
_MARKS = {"BEGIN_DATA_FORMAT": "names", "END_DATA_FORMAT": "header", "BEGIN_DATA": "data", "END_DATA": "header"}

Line = tuple[int, str, list[str]]  # where it stands, as written, and its words


def is_cgats(text: str) -> bool:
    """Tell a CGATS table by its content."""
    head = text.lstrip().lstrip('"')
    return bool(re.match(r"(CGATS|ISO28178)\b", head) or re.search(r"^\s*BEGIN_DATA(_FORMAT)?\s*$", text, re.MULTILINE))


def parse_cgats(text: str, path: Path) -> Parsed:
    """Parse the one table of a file into readings, repeats still apart.

    The header's illuminant and observer hold for L*, a*, b*; where it states none, D50 and 2° are the standard's.

    Raises
    ------
    FileError
        For anything malformed: names the file, the row and field, what was found and expected.

    References
    ----------
    ISO 28178:2009; ANSI CGATS.17-2009.
    """
    sections = _sections(text, path)
    keywords = _keywords(sections["header"])
    table = _table(sections, keywords, path)
    parsed = readings_of(table, _viewing(keywords, path), unused=unused_in(table.header.titles))
    return parsed._replace(standard=STANDARD_VIEWING)


def _sections(text: str, path: Path) -> dict[str, list[Line]]:
    """The lines of a file by the marks they stand between."""
    found: dict[str, list[Line]] = {"header": [], "names": [], "data": []}
    marks = iter(_MARKS)
    place, awaited = "header", next(marks)
    for number, line in enumerate(text.split("\n"), 1):
        words = _words(line, number, path)
        if words and words[0].upper() in _MARKS:
            if words[0].upper() != awaited:
                raise FileError(path, words[0], awaited or say("one table a file"), where=at_row(number))
            place, awaited = _MARKS[awaited], next(marks, "")
        elif words:
            found[place].append((number, line, words))
    if awaited:
        raise FileError(
            path,
            say("no {key}", key=awaited),
            say("a CGATS table with {marks}", marks=joined(_MARKS)),
            hint=say("is it cut short?"),
        )
    return found


def _words(line: str, number: int, path: Path) -> list[str]:
    """The words of a line, quotes taken off; none of a comment."""
    if line.lstrip().startswith("#"):
        return []
    words, end = [], 0
    for match in _TOKEN.finditer(line):
        if line[end : match.start()].strip():
            break
        words.append(_bare(match[0]))
        end = match.end()
    if line[end:].strip():
        raise FileError(
            path,
            say("quotes that are not paired"),
            say("words with paired quotes"),
            where=at_row(number),
        )
    return words


def _bare(word: str) -> str:
    return word[1:-1].replace('""', '"').strip() if word.startswith('"') else word


def _keywords(lines: Sequence[Line]) -> list[tuple[int, str, str]]:
    """Row, keyword and value of each line of the header that has both."""
    return [
        (number, words[0].upper(), " ".join(words[1:]))
        for number, _, words in lines
        if len(words) > 1 and _KEYWORD.fullmatch(words[0])
    ]


def _viewing(keywords: Sequence[tuple[int, str, str]], path: Path) -> Viewing:
    """Illuminant and observer that a header states, each once."""
    stated = {}
    for pattern in (_LIGHT, _OBSERVER):
        found = [(number, match[1]) for number, key, value in keywords for match in pattern.finditer(f"{key} {value}")]
        for number, word in found:
            if word.lower() != found[0][1].lower():
                raise FileError(
                    path,
                    word,
                    say("{word} as in row {line}", word=found[0][1], line=found[0][0]),
                    where=at_row(number),
                )
        stated[pattern] = found[0][1] if found else None
    light, observer = stated[_LIGHT], stated[_OBSERVER]
    return Viewing(
        illuminant_name(light).replace("FL", "F") if light else UNSTATED.illuminant,
        _OBSERVERS[observer.lower()] if observer else UNSTATED.observer,
    )


def _table(sections: dict[str, list[Line]], keywords: Sequence[tuple[int, str, str]], path: Path) -> Table:
    fields = [word for _, _, words in sections["names"] for word in words]
    start = sections["names"][0][0] if sections["names"] else 1
    _check_count(keywords, "NUMBER_OF_FIELDS", len(fields), path)
    rows = _flowing(sections["data"], len(fields), keywords) or list(_rows(sections["data"], len(fields), path))
    _check_count(keywords, "NUMBER_OF_SETS", len(rows), path)
    if is_paired(fields):
        fields, rows = _without_pairs(fields, rows, path)
    titles = columns_of(fields)
    once = {_SAID_ONCE[key]: value for _, key, value in keywords if key in _SAID_ONCE}
    once = {name: value for name, value in once.items() if name not in titles}
    header = header_of((*titles, *once), path, start, ("sample",))
    return Table(header, tuple(Row(header, number, [*cells, *once.values()]) for number, cells in rows))


def _check_count(keywords: Sequence[tuple[int, str, str]], name: str, count: int, path: Path) -> None:
    for number, key, value in keywords:
        if key == name and value != str(count):
            raise FileError(
                path,
                f"{name} {shown(value)}",
                say("{n}, as many as there are", n=count),
                where=at_row(number),
            )


def _flowing(
    lines: Sequence[Line], width: int, keywords: Sequence[tuple[int, str, str]]
) -> list[tuple[int, list[str]]] | None:
    """The rows of data whose sets run over line ends, where their number is stated and comes out right."""
    words = [(number, word) for number, _, line in lines for word in line]
    sets = {value for _, key, value in keywords if key == "NUMBER_OF_SETS"}
    if (
        not width
        or all(len(line) == width for _, _, line in lines)
        or sets != {str(len(words) / width).removesuffix(".0")}
    ):
        return None
    starts = range(0, len(words), width)
    return [(words[at][0], [word for _, word in words[at : at + width]]) for at in starts]


def _rows(lines: Sequence[Line], width: int, path: Path) -> Iterator[tuple[int, list[str]]]:
    """The cells of each row; where white space does not give the right number, tabs may."""
    for number, line, words in lines:
        cells = words
        if len(cells) != width:
            cells = [_bare(cell.strip()) for cell in line.strip("\n").split("\t")]
        if len(cells) != width:
            expected = say("{n} as in BEGIN_DATA_FORMAT", n=width)
            raise FileError(
                path,
                say_n("{n} field", "{n} fields", len(words)),
                expected,
                where=at_row(number),
                hint=say("text with spaces needs quotes"),
            )
        yield number, cells


def _without_pairs(
    fields: Sequence[str], rows: Sequence[tuple[int, list[str]]], path: Path
) -> tuple[list[str], list[tuple[int, list[str]]]]:
    names: list[str] = list(fields)
    plain: list[tuple[int, list[str]]] = []
    for number, cells in rows:
        found, values = unpaired(fields, cells)
        if plain and found != names:
            raise FileError(
                path,
                say("other wavelengths"),
                say("those of row {line}", line=rows[0][0]),
                where=at_row(number),
            )
        names = found
        plain.append((number, values))
    return names, plain
