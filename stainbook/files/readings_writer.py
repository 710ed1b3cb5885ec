"""Readings out: a table that `read_readings` reads back unchanged."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from stainbook.errors import InputError
from stainbook.files.bands import even, scatter_column
from stainbook.files.readings_csv import LAB_COLUMNS, TEXT_COLUMNS
from stainbook.files.table import format_table
from stainbook.files.text import write_text
from stainbook.records import Reading

_VIEWING = ("illuminant", "observer")


def write_readings(path: Path | str, readings: Iterable[Reading]) -> None:
    """Write readings.csv; raises InputError when it cannot be written or the wavelengths fit no one grid."""
    write_text(path, format_readings(tuple(readings)))


def format_readings(readings: Sequence[Reading]) -> str:
    """Readings as CSV text: only columns that some reading fills; means of repeats carry their number and scatter.

    Raises
    ------
    InputError
        When the wavelengths of all spectra together have no even steps.
    """
    wavelengths = sorted({w for reading in readings for w in reading.wavelengths})
    if wavelengths and not even(wavelengths):
        raise InputError("the spectra have wavelengths that fit no common grid; write them to separate files")
    cells = [_cells(reading) for reading in readings]
    bands = [_band(w) for w in wavelengths]
    order = (*TEXT_COLUMNS, *_VIEWING, "repeats", *LAB_COLUMNS, *bands)
    order = (*order, *map(scatter_column, (*LAB_COLUMNS, *bands)))
    used = {name for row in cells for name, cell in row.items() if cell}
    header = [name for name in order if name in used or name == "sample"]
    return format_table([_title(name) for name in header], [[row.get(name, "") for name in header] for row in cells])


def _cells(reading: Reading) -> dict[str, str]:
    """The filled cells of a row by column."""
    values = {name: getattr(reading, name) for name in TEXT_COLUMNS}
    cells = {name: str(value) for name, value in values.items() if value is not None}
    names: Sequence[str] = LAB_COLUMNS if reading.lab else [_band(w) for w in reading.wavelengths]
    numbers = reading.lab or reading.reflectance
    cells |= {name: repr(float(value)) for name, value in zip(names, numbers, strict=True)}
    if reading.viewing and reading.lab:
        cells |= {"illuminant": reading.viewing.illuminant, "observer": str(reading.viewing.observer or "unknown")}
    if reading.repeats > 1:
        cells["repeats"] = str(reading.repeats)
    scatter = zip(names, reading.scatter or (), strict=False)
    return cells | {scatter_column(name): repr(float(value)) for name, value in scatter}


def _band(wavelength: float) -> str:
    return f"{wavelength:g}"


def _title(name: str) -> str:
    return "L" if name == "l" else name
