"""Sheets for the bench as HTML: one file, large type, nothing loaded from anywhere, made to be printed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stainbook.language import ENGLISH, spoken
from stainbook.words.escaping import escape

_STYLE = """
body { font: 16pt/1.4 sans-serif; color: #000; background: #fff; margin: 12mm; }
h1 { font-size: 22pt; margin: 0 0 2mm; } h2 { font-size: 18pt; margin: 8mm 0 2mm; }
table { border-collapse: collapse; width: 100%; page-break-inside: auto; }
tr { page-break-inside: avoid; } thead { display: table-header-group; }
th, td { border: 1px solid #555; padding: 2.5mm 3mm; text-align: left; vertical-align: top; }
th { background: #eee; } td.number { text-align: right; font-variant-numeric: tabular-nums; }
.drawings svg { display: block; width: 100%; max-height: 70mm; margin: 0 auto 2mm; }
td.fill { min-width: 20mm; } td.write { height: 9mm; } p, li { max-width: 60em; } .small { font-size: 14pt; }
@media print { body { margin: 0; } }
""".strip()

_SMALL = """
@page { size: A4; margin: 9mm; }
body { font-size: 8.2pt; line-height: 1.2; margin: 0; } h1 { font-size: 13pt; margin: 0; }
h2 { font-size: 9pt; margin: 1mm 0 0.4mm; } p { margin: 0.5mm 0; max-width: none; } .small { font-size: 7.5pt; }
th, td { padding: 0.3mm 1.4mm; } td.fill { min-width: 12mm; } td.write { height: 5.5mm; min-width: 0; }
.drawings { display: flex; gap: 2mm; } .drawings svg { flex: 1 1 0; min-width: 0; max-height: 36mm; margin-bottom: 0; }
ul { margin: 1mm 0 0; padding-left: 4mm; columns: 2; column-gap: 6mm; } li { max-width: none; }
""".strip()


# words of most languages are longer than English ones, and the sheet stays on its page
_LONGER = "body { font-size: 7.6pt; } .small { font-size: 6.9pt; } th, td { padding: 0.3mm 1.2mm; }"


@dataclass(frozen=True, slots=True)
class PrintedTable:
    """A table: its columns, which of them hold numbers, which are left empty to be filled in by hand."""

    columns: Sequence[str]
    rows: Sequence[Sequence[str]]
    numbers: Sequence[str] = ()
    heading: str = ""


@dataclass(frozen=True, slots=True)
class SheetContent:
    """What a sheet says: title, a sentence, tables, and what to mind."""

    title: str
    lead: str = ""
    tables: Sequence[PrintedTable] = ()
    notes: Sequence[str] = ()
    drawings: Sequence[str] = ()  # SVG of our own, side by side
    small: bool = False  # all on one page


def page(title: str, *, lead: str = "", tables: Iterable[PrintedTable] = (), notes: Iterable[str] = ()) -> str:
    """A page as HTML text; whatever comes from files stands in it as text."""
    return page_of(SheetContent(title, lead, tuple(tables), tuple(notes)))


def page_of(content: SheetContent) -> str:
    """A page of its own, as HTML text that loads nothing."""
    longer = _LONGER if content.small and spoken() != ENGLISH else ""
    style = f"{_STYLE}{_SMALL if content.small else ''}{longer}"
    return (
        f'<!doctype html>\n<html lang="{escape(spoken())}"><head><meta charset="utf-8">'
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">"
        f"<title>{escape(content.title)}</title><style>{style}</style></head>\n"
        f"<body>{body(content)}</body></html>\n"
    )


def body(content: SheetContent) -> str:
    """What stands on the page, to be shown inside another one."""
    listed = "".join(f"<li>{escape(note)}</li>" for note in content.notes)
    said = f'<ul class="small">{listed}</ul>' if listed else ""
    opening = f"<p>{escape(content.lead)}</p>" if content.lead else ""
    drawn = f'<div class="drawings">{"".join(content.drawings)}</div>' if content.drawings else ""
    title = f"<h1>{escape(content.title)}</h1>" if content.title else ""
    return f"{title}{opening}\n{drawn}{''.join(map(_table, content.tables))}{said}"


def _table(table: PrintedTable) -> str:
    head = "".join(f"<th>{escape(column)}</th>" for column in table.columns)
    body = "\n".join(f"<tr>{_row(row, table)}</tr>" for row in table.rows)
    heading = f"<h2>{escape(table.heading)}</h2>" if table.heading else ""
    return f"{heading}<table><thead><tr>{head}</tr></thead><tbody>\n{body}</tbody></table>\n"


def _row(row: Sequence[str], table: PrintedTable) -> str:
    empty = "fill" if any(row) else "write"  # a row of boxes to write in
    kinds = [
        "number" if column in table.numbers else "text" if cell else empty
        for column, cell in zip(table.columns, row, strict=True)
    ]
    return "".join(f'<td class="{kind}">{escape(cell)}</td>' for kind, cell in zip(kinds, row, strict=True))
