"""The field names of CGATS tables, in their dialects, as the columns of readings.csv."""

from __future__ import annotations

import re
from collections.abc import Sequence

from stainbook.files.bands import SCATTER
from stainbook.files.readings_csv import LAB_COLUMNS, TEXT_COLUMNS

_BAND = re.compile(r"(?:SPECTRAL|SPEC|REFLECTANCE)?_?(NM|PCT|DEC|R)?_?(\d{3,4}(?:[.,]\d+)?)(?:NM)?", re.IGNORECASE)
_PAIRS = ("SPECTRAL_NM", "SPECTRAL_PCT", "SPECTRAL_DEC")  # wavelength and value beside each other, many times
_NAMES = ("SAMPLE_NAME", "SAMPLENAME", "SAMPLE", "SAMPLE_ID", "SAMPLEID")  # the first that is there names the sample
_UNUSED = re.compile(
    r"SAMPLE_?(ID|NAME)|INDEX|STRING|(XYZ|RGB|CMYK|XYY|LUV|LCH|D|DE|STDEV|MEAN|CHI|LAB)_\w+|[0-9]CLR_\w+", re.IGNORECASE
)


def columns_of(fields: Sequence[str]) -> tuple[str, ...]:
    """Titles as readings.csv has them: the sample, L, a, b, bands as ``400`` or ``400 %``; others as they are."""
    upper = [name.upper() for name in fields]
    sample = next((name for name in _NAMES if name in upper), None)
    return tuple("sample" if name.upper() == sample else _column(name) for name in fields)


def unused_in(columns: Sequence[str]) -> set[str]:
    """Lower-case columns that the standard knows and that say nothing here."""
    return {name.lower() for name in columns if _UNUSED.fullmatch(name)}


def is_paired(fields: Sequence[str]) -> bool:
    """Tell the dialect whose wavelengths stand in the data, before each value."""
    return _PAIRS[0] in map(str.upper, fields)


def unpaired(fields: Sequence[str], cells: Sequence[str]) -> tuple[list[str], list[str]]:
    """A row of pairs as a row of bands: its fields, named by its wavelengths, and their cells."""
    names, values, wavelength = [], [], ""
    for name, cell in zip(fields, cells, strict=True):
        if name.upper() == _PAIRS[0]:
            wavelength = cell
            continue
        if name.upper() in _PAIRS:
            name = f"{name[-3:]}_{wavelength.removesuffix('.0')}"
        names.append(name)
        values.append(cell)
    return names, values


def field_of(column: str) -> str:
    """The field name of a column of readings.csv."""
    if column.startswith(SCATTER):
        return f"SD_{field_of(column.removeprefix(SCATTER))}"
    if column[0].isdigit():
        return f"SPECTRAL_NM_{column}"
    return {"sample": "SAMPLE_NAME", **{name: f"LAB_{name.upper()}" for name in LAB_COLUMNS}}.get(
        column, column.upper()
    )


def _column(name: str) -> str:
    if name.upper().startswith("SD_"):
        return SCATTER + _column(name[3:])
    band = _BAND.fullmatch(name)
    if band:
        return f"{band[2]} %" if (band[1] or "").upper() == "PCT" else band[2]
    lab = name.upper().removeprefix("LAB_")
    if name.upper().startswith("LAB_") and lab.lower() in LAB_COLUMNS:
        return lab.lower()
    return name.lower() if name.lower() in TEXT_COLUMNS else name
