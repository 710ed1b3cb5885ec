"""Readings out as a CGATS.17 table."""

from __future__ import annotations

from collections.abc import Sequence

from stainbook.errors import InputError
from stainbook.files.cgats_fields import field_of
from stainbook.files.reading_cells import tabulated
from stainbook.files.readings_csv import LAB_COLUMNS
from stainbook.files.text import shown
from stainbook.language import say
from stainbook.records import Reading


def format_cgats(readings: Sequence[Reading]) -> str:
    r"""Give readings as a CGATS.17 table, its fields separated by tabs.

    Raises
    ------
    InputError
        When the wavelengths of all spectra together have no even steps, or a text runs over lines.

    References
    ----------
    ISO 28178:2009; ANSI CGATS.17-2009.

    >>> from stainbook.records import Viewing
    >>> reading = Reading("tab", lab=(72.0, 1.0, 16.0), viewing=Viewing("D65", 10))
    >>> format_cgats([reading]).splitlines()[-2].split("\t")[:4]
    ['"tab"', '"D65"', '"10"', '72.0']
    """
    columns, rows = tabulated(readings)
    lines = [
        "CGATS.17",
        'ORIGINATOR\t"stainbook"',
        *(f'KEYWORD\t"{field_of(name)}"' for name in columns if _is_own(name)),
        f"NUMBER_OF_FIELDS\t{len(columns)}",
        "BEGIN_DATA_FORMAT",
        "\t".join(map(field_of, columns)),
        "END_DATA_FORMAT",
        f"NUMBER_OF_SETS\t{len(rows)}",
        "BEGIN_DATA",
        *("\t".join(_quoted(row.get(name, ""), name) for name in columns) for row in rows),
        "END_DATA",
    ]
    return "\n".join(lines) + "\n"


def _is_own(column: str) -> bool:
    return column not in ("sample", *LAB_COLUMNS) and not column[0].isdigit()


def _quoted(cell: str, column: str) -> str:
    if "\n" in cell:
        raise InputError(
            say(
                "{column} {cell} runs over lines, which CGATS cannot hold; write CSV or CxF3",
                column=column,
                cell=shown(cell),
            )
        )
    if column[0].isdigit() or column in LAB_COLUMNS:
        return cell or '""'
    return '"' + cell.replace('"', '""') + '"'
