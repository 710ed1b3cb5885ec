"""The spectral columns of a readings table: wavelengths, scale, limits of what a reading can be."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from stainbook.files.table import Row, Table
from stainbook.files.text import shown
from stainbook.language import joined, say, say_as
from stainbook.records import LARGEST_FACTOR

STEPS = (5.0, 10.0, 20.0)  # nm
COVER = (400.0, 700.0)  # nm
_SPAN = (200.0, 1200.0)  # nm; a number outside is no wavelength that a bench instrument gives
_BAND = re.compile(r"r? ?(\d{3,4}(?:[.,]\d+)?) ?(?:nm)? ?(%|\(%\)|\[%\])?")
_LARGEST = {"factor": LARGEST_FACTOR, "percent": 100.0 * LARGEST_FACTOR}
_SMALLEST = {"factor": -0.005, "percent": -0.5}  # instruments give a little below 0
SCATTER = "sd "  # before a column's name: the standard deviation of its repeats


@dataclass(frozen=True, slots=True)
class Bands:
    """Where the spectrum stands in a table: ascending wavelengths in nm, columns, scale of the whole file."""

    wavelengths: tuple[float, ...]
    columns: tuple[str, ...]
    scatter: tuple[str, ...]  # columns of the standard deviation of repeats, where the file has them
    scale: str

    @property
    def known(self) -> set[str]:
        """The names of all these columns."""
        return {*self.columns, *self.scatter}


@dataclass(frozen=True, slots=True)
class Spectrum:
    """Wavelengths in nm, reflectance factor, scatter where the row is a mean, whether values below 0 were lifted."""

    wavelengths: tuple[float, ...]
    reflectance: tuple[float, ...]
    scatter: tuple[float, ...] | None
    lifted: bool


def find_bands(table: Table) -> Bands:
    """Find the columns that hold a spectrum, none being a valid answer.

    Raises
    ------
    FileError
        For a wavelength twice, uneven steps, a grid that does not cover 400–700 nm, two scales.
    """
    found: dict[float, str] = {}
    percent: set[bool] = set()
    for name in table.header.columns:
        match = _BAND.fullmatch(name)
        wavelength = float(match[1].replace(",", ".")) if match else 0.0
        if not match or not _SPAN[0] <= wavelength <= _SPAN[1]:
            continue
        if wavelength in found:
            raise table.header.fail(say("{wavelength:g} nm twice", wavelength=wavelength), say("each wavelength once"))
        found[wavelength] = name
        percent.add(match[2] is not None)
    wavelengths = tuple(sorted(found))
    if wavelengths:
        _check_grid(table, wavelengths)
    columns = tuple(found[w] for w in wavelengths)
    scatter = tuple(name for name in map(scatter_column, columns) if name in table.header.columns)
    return Bands(wavelengths, columns, scatter, _scale(table, percent))


def even(wavelengths: Sequence[float]) -> bool:
    """Tell whether wavelengths in nm go in even steps of 5, 10 or 20 and cover 400–700."""
    if len(wavelengths) < 2 or wavelengths[0] > COVER[0] or wavelengths[-1] < COVER[1]:
        return False
    step = wavelengths[1] - wavelengths[0]
    return step in STEPS and all(high - low == step for low, high in pairwise(wavelengths))


def read_spectrum(row: Row, bands: Bands) -> Spectrum | None:
    """The spectrum of a row in reflectance factor, None when no band is filled.

    Values a little below 0 are set to 0.

    Raises
    ------
    FileError
        For a cell that is empty or no number, and for a value that no surface can have.
    """
    cells = [row.cells[row.header.columns[name]] for name in bands.columns]
    if not any(cells):
        return None
    columns, wavelengths = bands.columns, bands.wavelengths
    if not all(cells):  # a sheet may hold readings of several instruments, each with a grid of its own
        filled = [i for i, cell in enumerate(cells) if cell]
        wavelengths = tuple(bands.wavelengths[i] for i in filled)
        if not even(wavelengths):
            raise row.fail(columns[cells.index("")], say("an empty cell"), say("a value in each wavelength column"))
        columns, cells = tuple(columns[i] for i in filled), [cells[i] for i in filled]
    values = row.numbers(columns, cells)
    lowest = min(values)
    _check_values(row, columns, values, bands.scale)
    if bands.scale == "percent":
        values = [value / 100.0 for value in values]
    if lowest <= 0.0:
        values = [max(0.0, value) for value in values]
    return Spectrum(wavelengths, tuple(values), _scatter(row, bands), lowest < 0.0)


def _scatter(row: Row, bands: Bands) -> tuple[float, ...] | None:
    names = [name for name in bands.scatter if row.text(name)]
    if not names:
        return None
    values = row.numbers(names, [row.needed(name) for name in names])
    return tuple(value / 100.0 for value in values) if bands.scale == "percent" else tuple(values)


def scatter_column(band: str) -> str:
    """The name of the column that holds the standard deviation of a column's repeats."""
    return SCATTER + band


def _check_values(row: Row, columns: Sequence[str], values: Sequence[float], scale: str) -> None:
    largest, smallest = _LARGEST[scale], _SMALLEST[scale]
    if max(values) <= largest and min(values) >= smallest:
        return
    i = next(i for i, value in enumerate(values) if not smallest <= value <= largest)
    limits = {"smallest": smallest, "largest": largest}
    expected = say("a reflectance factor of {smallest:g} to {largest:g}", **limits)
    hint = say("a column 'scale' that says percent is needed if the file is in percent")
    if scale == "percent":
        expected = say("percent of reflectance of {smallest:g} to {largest:g}", **limits)
        hint = say("the file is read in percent because of its header or its column 'scale'")
    raise row.fail(
        columns[i],
        f"{values[i]:g}",
        expected,
        hint=hint if values[i] > largest else None,
    )


def _check_grid(table: Table, wavelengths: Sequence[float]) -> None:
    if even(wavelengths):
        return
    steps = sorted({high - low for low, high in pairwise(wavelengths)})
    found = say(
        "{first:g} to {last:g} nm in steps of {steps}",
        first=wavelengths[0],
        last=wavelengths[-1],
        steps=joined(f"{step:g}" for step in steps[:4]) if steps else say_as("a list of numbers", "none"),
    )
    raise table.header.fail(found, say("even steps of 5, 10 or 20 nm that cover 400 to 700 nm"))


def _scale(table: Table, percent: set[bool]) -> str:
    """The one scale of the file, from the header's percent signs and the column ``scale``."""
    if len(percent) > 1:
        raise table.header.fail(say("wavelength columns with and without %"), say("one scale for the whole file"))
    header = "percent" if True in percent else None
    for row, word in _scale_words(table):
        if header and word != header:
            raise row.fail("scale", shown(word), say("{scale}, as before; one scale for the whole file", scale=header))
        header = word
    return header or "factor"


def _scale_words(table: Table) -> Iterator[tuple[Row, str]]:
    for row in table.rows:
        word = row.choice("scale", ("factor", "percent"))
        if word:
            yield row, word
