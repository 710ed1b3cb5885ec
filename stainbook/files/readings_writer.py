"""Readings out, as CSV, CGATS.17 or CxF3: files that `read_readings` reads back unchanged."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from stainbook.files.cgats_writer import format_cgats
from stainbook.files.cxf_writer import format_cxf
from stainbook.files.reading_cells import tabulated
from stainbook.files.table import format_table
from stainbook.files.text import write_text
from stainbook.records import Reading

_CGATS_SUFFIXES = (".txt", ".cgats", ".it8")


def write_readings(path: Path | str, readings: Iterable[Reading]) -> None:
    """Write readings: CxF3 to a name that ends in .cxf, CGATS to .txt or .cgats, else CSV.

    Raises InputError when it cannot be written or the wavelengths fit no one grid.

    >>> from pathlib import Path
    >>> from stainbook.records import Reading
    >>> from stainbook.files import write_readings
    >>> write_readings("readings.csv", [Reading("tab", lab=(72.0, 1.6, 17.0))])
    >>> "tab" in Path("readings.csv").read_text()
    True
    """
    suffix = Path(path).suffix.lower()
    write = format_cxf if suffix == ".cxf" else format_cgats if suffix in _CGATS_SUFFIXES else format_readings
    write_text(path, write(tuple(readings)))


def format_readings(readings: Sequence[Reading]) -> str:
    """Readings as CSV text: only columns that some reading fills; means of repeats carry their number and scatter.

    Raises
    ------
    InputError
        When the wavelengths of all spectra together have no even steps.

    >>> from stainbook.records import Reading
    >>> from stainbook.files import format_readings
    >>> print(format_readings([Reading("tab", lab=(72.0, 1.6, 17.0))]).splitlines()[0])
    sample,L,a,b
    """
    columns, rows = tabulated(readings)
    titles = ["L" if name == "l" else name for name in columns]
    return format_table(titles, [[row.get(name, "") for name in columns] for row in rows])
