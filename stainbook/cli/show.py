"""Prints results: JSON as it is, tables for people, warnings beside the results."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from stainbook.errors import masked
from stainbook.language import say, shown
from stainbook.notices import heard_so_far
from stainbook.words.figures import tenths as tenths

if TYPE_CHECKING:
    from stainbook.work.documents.schemas import Document

PIPED_WIDTH = 160  # columns, where no terminal says how wide it is


def print_document(document: Document) -> None:
    """One JSON document on standard output, its warnings and what was told meanwhile also on standard error."""
    warnings = [*document.warnings, *heard_so_far()]
    print_warnings(warnings)
    print_json(masked(document.model_copy(update={"warnings": warnings}).model_dump_json(indent=2)))


def print_json(text: str) -> None:
    """Write JSON in UTF-8, whatever the terminal speaks."""
    sys.stdout.flush()
    sys.stdout.buffer.write(text.encode("utf-8") + b"\n")
    sys.stdout.buffer.flush()


def print_table(columns: Sequence[str], rows: Iterable[Sequence[str]], *, numbers: Sequence[str]) -> None:
    """A table on standard output; the columns named in ``numbers`` stand right."""
    from rich.box import SIMPLE_HEAD
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    table = Table(box=SIMPLE_HEAD, pad_edge=False)
    for column in columns:
        table.add_column(shown(column), justify="right" if column in numbers else "left", overflow="fold")
    for row in rows:
        table.add_row(*(Text(shown(cell)) for cell in row))  # Text: names from files are no markup
    options: dict[str, Any] = {} if sys.stdout.isatty() else {"width": PIPED_WIDTH}
    Console(highlight=False, **options).print(table)


def print_message(message: str) -> None:
    """A line on standard error, without passwords."""
    print(masked(shown(message)), file=sys.stderr)  # noqa: T201


def print_warnings(warnings: Iterable[str]) -> None:
    """Each warning, and what was told meanwhile, as one line on standard error."""
    for warning in [*warnings, *heard_so_far()]:
        print_message(say("stainbook: warning: {warning}", warning=warning))


def viewing(illuminant: str | None, observer: int | None) -> str:
    """Light and observer in one cell."""
    return f"CIE {illuminant}/{observer}°" if observer else say("own scale")


def percent(share: float) -> str:
    """A share as a whole percentage."""
    return f"{100 * share:.0f} %"


def print_line(line: str) -> None:
    """A line on standard output, without passwords."""
    print(masked(shown(line)))  # noqa: T201
