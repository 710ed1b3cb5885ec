"""A reading as the filled cells of a row, for the writers of all formats."""

from __future__ import annotations

from collections.abc import Sequence

from stainbook.errors import InputError
from stainbook.files.bands import even, scatter_column
from stainbook.files.readings_csv import LAB_COLUMNS, TEXT_COLUMNS
from stainbook.language import say
from stainbook.records import Reading

_VIEWING = ("illuminant", "observer")
Cells = dict[str, str]


def cells_of(reading: Reading) -> Cells:
    """What a reading says, by column of readings.csv, without its colour."""
    values = {name: getattr(reading, name) for name in TEXT_COLUMNS}
    cells = {name: str(value) for name, value in values.items() if value is not None}
    if reading.viewing and reading.lab:
        cells |= {"illuminant": reading.viewing.illuminant, "observer": str(reading.viewing.observer or "unknown")}
    if reading.repeats > 1:
        cells["repeats"] = str(reading.repeats)
    if reading.u is not None:
        cells["u"] = repr(float(reading.u))
    names: Sequence[str] = LAB_COLUMNS if reading.lab else [_band(w) for w in reading.wavelengths]
    scatter = zip(names, reading.scatter or (), strict=False)
    return cells | {scatter_column(name): repr(float(value)) for name, value in scatter}


def tabulated(readings: Sequence[Reading]) -> tuple[list[str], list[Cells]]:
    """The columns that some reading fills, in the order of the contract, and the filled cells of each row."""
    wavelengths = sorted({w for reading in readings for w in reading.wavelengths})
    if wavelengths and not even(wavelengths):
        raise InputError(say("the spectra have wavelengths that fit no common grid; write them to separate files"))
    rows = [cells_of(reading) | _colour(reading) for reading in readings]
    bands = [_band(w) for w in wavelengths]
    order = (*TEXT_COLUMNS, *_VIEWING, "repeats", *LAB_COLUMNS, "u", *bands)
    order = (*order, *map(scatter_column, (*LAB_COLUMNS, *bands)))
    used = {name for row in rows for name, cell in row.items() if cell}
    return [name for name in order if name in used or name == "sample"], rows


def _colour(reading: Reading) -> Cells:
    names: Sequence[str] = LAB_COLUMNS if reading.lab else [_band(w) for w in reading.wavelengths]
    numbers = reading.lab or reading.reflectance
    return {name: repr(float(value)) for name, value in zip(names, numbers, strict=True)}


def _band(wavelength: float) -> str:
    return f"{wavelength:g}"
