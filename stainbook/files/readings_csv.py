"""The readings.csv of the contract: one reading a row, a spectrum or L*, a*, b*."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import NamedTuple

from stainbook.errors import some_of
from stainbook.files.bands import Bands, find_bands, read_spectrum, scatter_column
from stainbook.files.file_light import UNSTATED
from stainbook.files.table import Row, Table, parse_table
from stainbook.files.text import shown
from stainbook.language import say, say_n
from stainbook.notices import progress
from stainbook.records import (
    FILMS,
    LIGHTEST,
    MOST_CHROMATIC,
    STAGES,
    SURFACES,
    TISSUES,
    UNKNOWN_VIEWING,
    LabValues,
    Reading,
    Viewing,
)

_NAME, _NUMBER = say("the sample's name"), say("a number")
SPECULAR = ("excluded", "included")
LAB_COLUMNS = ("l", "a", "b")
DASHES = ("-", "\N{EN DASH}", "\N{EM DASH}", "--")  # a cell of what was not read
MOST_REPEATS = 1_000_000
_ROWS_A_STEP = 5_000
TEXT_COLUMNS = (
    "sample", "stage", "surface", "film", "tissue", "instrument", "geometry", "specular", "aperture_mm", "backing",
    "taken_at", "notes",
)  # fmt: skip
_SHEET_COLUMNS = ("row", "tooth", "zone", "note")  # of a measuring sheet whose L, a, b were filled in
_OTHER_COLUMNS = (
    "scale",
    "illuminant",
    "observer",
    "repeats",
    "u",
    *LAB_COLUMNS,
    *map(scatter_column, LAB_COLUMNS),
    *_SHEET_COLUMNS,
)


@dataclass(slots=True)
class _Notes:
    """What is worth one warning for the whole file: how often and where first."""

    below_zero: list[Row] = field(default_factory=list)
    lab_beside: list[Row] = field(default_factory=list)
    doubt_beside: list[Row] = field(default_factory=list)
    left_out: list[Row] = field(default_factory=list)

    def warnings(self, path: Path) -> tuple[str, ...]:
        lines = []
        if self.below_zero:
            where = _in_rows(self.below_zero)
            lines.append(say("{path}: values a little below 0 were set to 0 in {where}", path=path, where=where))
        if self.lab_beside:
            where = _in_rows(self.lab_beside)
            lines.append(say("{path}: L, a, b beside a spectrum are not used in {where}", path=path, where=where))
        if self.doubt_beside:
            where = _in_rows(self.doubt_beside)
            lines.append(
                say(
                    "{path}: u is the doubt of L, a, b and not used beside a spectrum in {where}",
                    path=path,
                    where=where,
                )
            )
        if self.left_out:
            samples = some_of(row.text("sample") or "" for row in self.left_out)
            lines.append(say("{path}: not read: {samples}", path=path, samples=samples))
        return tuple(lines)


class Parsed(NamedTuple):
    """What a parser makes of a file: its rows, repeats apart; what to tell; the viewing that its format means."""

    readings: list[Reading]
    warnings: tuple[str, ...]
    standard: Viewing = UNKNOWN_VIEWING


def parse_readings_csv(text: str, path: Path) -> Parsed:
    """Parse readings.csv; L*, a*, b* whose light is not stated are left `UNSTATED`.

    Raises
    ------
    FileError
        For anything malformed.
    """
    return readings_of(parse_table(text, path, required=("sample",)))


def readings_of(table: Table, viewing: Viewing = UNSTATED, *, unused: Collection[str] = ()) -> Parsed:
    """The readings of a table, whatever format it came in; columns that are ``unused`` get no warning."""
    bands = find_bands(table)
    _check_columns(table, bands)
    notes = _Notes()
    readings = []
    for number, row in enumerate(table.rows):
        if not bands.columns and is_left_out(row):
            notes.left_out.append(row)
            continue
        if number % _ROWS_A_STEP == _ROWS_A_STEP - 1:
            progress(
                say(
                    "{path}: {read:,} of {rows:,} rows are read",
                    path=table.header.path,
                    read=number + 1,
                    rows=len(table.rows),
                )
            )
        readings.append(_reading(row, bands, viewing, notes))
    unknown = table.unknown_columns({*TEXT_COLUMNS, *_OTHER_COLUMNS, *bands.known, *unused})
    return Parsed(readings, (*unknown, *notes.warnings(table.header.path)))


def is_left_out(row: Row) -> bool:
    """Whether a row stands for what was not read: a dash in place of its numbers."""
    cells = [row.text(name) for name in LAB_COLUMNS]
    return any(cells) and all(cell in DASHES for cell in cells if cell)


def _check_columns(table: Table, bands: Bands) -> None:
    if not bands.columns and not all(name in table.header.columns for name in LAB_COLUMNS):
        found = say("columns {columns}", columns=table.header.listed())
        raise table.header.fail(found, say("wavelength columns as 400, 410, … or columns L, a, b"))


def _reading(row: Row, bands: Bands, default: Viewing, notes: _Notes) -> Reading:
    reading, spectrum = _described(row), read_spectrum(row, bands)
    if spectrum is None:
        return replace(
            reading, lab=_lab(row), viewing=_viewing(row, default), scatter=_lab_scatter(row), u=row.positive("u")
        )
    if spectrum.lifted:
        notes.below_zero.append(row)
    if any(row.text(name) for name in LAB_COLUMNS):
        notes.lab_beside.append(row)
    if row.text("u"):
        notes.doubt_beside.append(row)
    return replace(
        reading, wavelengths=spectrum.wavelengths, reflectance=spectrum.reflectance, scatter=spectrum.scatter
    )


def _in_rows(rows: list[Row]) -> str:
    return say_n("row {line}", "{n} rows, the first is row {line}", len(rows), line=rows[0].line)


def _described(row: Row) -> Reading:
    """What a row says beside its colour."""
    stage = row.text("stage")
    return Reading(
        sample=row.needed("sample", _NAME),
        repeats=row.count("repeats", most=MOST_REPEATS) if row.text("repeats") else 1,
        stage=stage_word(stage) if stage else None,
        surface=row.choice("surface", SURFACES),
        film=row.choice("film", FILMS),
        tissue=row.choice("tissue", TISSUES),
        instrument=row.text("instrument"),
        geometry=row.text("geometry"),
        specular=row.choice("specular", SPECULAR),
        aperture_mm=row.positive("aperture_mm"),
        backing=row.text("backing"),
        taken_at=row.instant("taken_at"),
        notes=row.text("notes"),
        source=row.source,
    )


def _lab(row: Row) -> LabValues:
    cells = [row.text(name) for name in LAB_COLUMNS]
    if not any(cells):
        hint = say("- in its place where it was not read")
        raise row.fail(None, say("no colour"), say("a spectrum or L, a, b in each row"), hint=hint)
    lightness, a, b = row.numbers(LAB_COLUMNS, [row.needed(name, _NUMBER) for name in LAB_COLUMNS])
    if not 0.0 <= lightness <= LIGHTEST:
        raise row.fail("l", f"{lightness:g}", say("L* from 0 to 100"))
    for name, value in (("a", a), ("b", b)):
        if abs(value) > MOST_CHROMATIC:
            raise row.fail(
                name,
                f"{value:g}",
                say("{axis}* from -{most:g} to {most:g}", axis=name, most=MOST_CHROMATIC),
            )
    return lightness, a, b


def _lab_scatter(row: Row) -> tuple[float, ...] | None:
    names = [scatter_column(name) for name in LAB_COLUMNS]
    if not all(row.text(name) for name in names):
        return None
    return tuple(row.numbers(names, [row.needed(name) for name in names]))


def _viewing(row: Row, default: Viewing) -> Viewing:
    illuminant, observer = row.text("illuminant"), row.text("observer")
    if observer is not None and observer_number(observer) is None:
        raise row.fail("observer", shown(observer), say("2 or 10"))
    return Viewing(
        illuminant_name(illuminant) if illuminant else default.illuminant,
        observer_number(observer) or 0 if observer else default.observer,
    )


def stage_word(text: str) -> str:
    """A stage as readings keep it: the known words in lower case, free text as it is."""
    return text.lower() if text.lower() in STAGES else text


def illuminant_name(text: str) -> str:
    """An illuminant as the tables name it: short names in capitals, ``unknown`` in small letters."""
    if text.lower() == "unknown":
        return "unknown"
    return text if " " in text else text.upper()


def observer_number(text: str) -> int | None:
    """The observer 2 or 10 in degrees, 0 for ``unknown``, None for anything else."""
    return {"2": 2, "10": 10, "unknown": 0}.get(text.lower().removesuffix("°").strip())
