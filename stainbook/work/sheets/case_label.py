"""The label of a case's job tray: its code, and a QR code that opens the case on a phone or tablet at the bench."""

from __future__ import annotations

from pathlib import Path

from stainbook import private
from stainbook.book import Book
from stainbook.errors import InputError
from stainbook.language import joined, say, spoken
from stainbook.records import Case
from stainbook.report.label_drawing import HEIGHT, WIDTH, LabelContent, label_pdf, label_svg
from stainbook.stage_words import finish_name
from stainbook.words.escaping import escape
from stainbook.work.case.current_case import known_case
from stainbook.work.documents.label_schemas import LabelResult
from stainbook.work.reading.lab_settings import host_of

LABEL_KINDS = {"pdf": "application/pdf", "html": "text/html", "svg": "image/svg+xml"}  # with their media types
MOST_TEETH = 6  # that are named one by one
NO_HOST = say(
    "no address is set, so the label has no QR code: say where other devices reach the app, on the Settings page "
    "under Lab and book, or with --host"
)
_STYLE = f"@page {{ size: {WIDTH:g}mm {HEIGHT:g}mm; margin: 0; }} body {{ margin: 0; }} svg {{ display: block; }}"


def label_of(book: Book, code: str, host: str | None = None) -> LabelContent:
    """What the label of a case says; its address names the case by its random id, never by its code.

    host : where other devices reach the app; by default as the lab set it up
    Raises UnknownNameError for a case that the book does not know, InputError for what is no address.
    """
    case = known_case(book, code).case
    place = host_of(host) if host else book.settings().host
    address = f"{place}/case?case={book.case_ids()[code]}" if place else None
    return LabelContent(code, tuple(line for line in (_teeth(case), _made(case)) if line), address)


def _teeth(case: Case) -> str:
    teeth = sorted({zone.tooth for zone in case.zones})
    if len(teeth) <= MOST_TEETH:
        return joined(map(str, teeth))
    return say("{first} to {last}, {n} teeth", first=teeth[0], last=teeth[-1], n=len(teeth))


def _made(case: Case) -> str:
    return joined([one for one in (case.material, finish_name(case.finish) if case.finish else None) if one])


def label_file(content: LabelContent, kind: str) -> bytes:
    """The label as one of ``LABEL_KINDS``."""
    if kind == "pdf":
        return label_pdf(content)
    drawn = label_svg(content)
    return (_page(content, drawn) if kind == "html" else drawn).encode("utf-8")


def _page(content: LabelContent, drawn: str) -> str:
    policy = "default-src 'none'; style-src 'unsafe-inline'"
    return (
        f'<!doctype html>\n<html lang="{escape(spoken())}"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">'
        f"<title>{escape(content.case)}</title><style>{_STYLE}</style></head><body>{drawn}</body></html>\n"
    )


def save_label(book: Book, code: str, path: Path, host: str | None = None) -> LabelResult:
    """Write the label of a case, by the file's ending; raises as `label_of` does, and for another ending."""
    kind = path.suffix.lower().removeprefix(".")
    if kind not in LABEL_KINDS:
        raise InputError(say("{path}: expected a name that ends in .pdf, .html or .svg", path=path))
    content = label_of(book, code, host)
    private.write(path, label_file(content, kind))
    return LabelResult(
        case=code, file=str(path), address=content.address, warnings=[] if content.address else [NO_HOST]
    )
