"""The measuring sheet: which readings to take of a case, in which order, and what to mind at each."""

from __future__ import annotations

from pathlib import Path

from stainbook.apparatus import Instrument
from stainbook.book import Book
from stainbook.errors import FileError, UnknownNameError
from stainbook.files import format_order, read_order
from stainbook.files.text import write_text
from stainbook.language import joined, say
from stainbook.records import Case, CaseZone, GuideTab, SampleRef, TabRef
from stainbook.words.places import place, zone_name
from stainbook.work.case.current_case import CASE_SUFFIXES, What, current_case, is_file
from stainbook.work.documents.day_schemas import SheetResult, SheetRow
from stainbook.work.documents.printed import PrintedTable, page
from stainbook.work.reading.cautions import MOTTLE_READINGS, aperture_of, cautions_of

_MOTTLED = ("mottle", "vessel")  # effects that say the gum of a tooth is not even


def sheet_of(
    case: Case, *, instrument: Instrument | None = None, gum: int | None = None, targets: bool = False
) -> SheetResult:
    """The readings to take of a case, row by row.

    gum : readings of each gum zone; None takes three where the case lists a mottle there, else one.
    targets : also the guide tabs that its targets name, each of their zones once.
    """
    read = [zone for zone in case.zones if zone.like is None]
    rows = [row for zone in read for row in [_row(zone, case, instrument)] * _times(zone, case, gum)]
    rows += [_tab_row(tab) for tab in _tabs(case)] if targets else []
    like = [
        say("{zone} like {other}", zone=place(*zone.key), other=place(*zone.like)) for zone in case.zones if zone.like
    ]
    numbered = [row.model_copy(update={"row": number}) for number, row in enumerate(rows, 1)]
    return SheetResult(case=case.case, rows=numbered, like=like)


def sheet_for(
    book: Book,
    what: What,
    *,
    instrument: str | None = None,
    gum: int | None = None,
    targets: bool = False,
    guide: Path | None = None,
) -> SheetResult:
    """The sheet of a case, by its code or file.

    Raises InputError for a case, guide or instrument that cannot be used.
    """
    profiles = book.instruments()
    if instrument is not None and instrument not in profiles:
        raise UnknownNameError(say("instrument"), instrument, profiles)
    current = current_case(book, what, guide=guide)
    profile = profiles[instrument] if instrument else None
    result = sheet_of(current.case, instrument=profile, gum=gum, targets=targets)
    return result.model_copy(update={"warnings": list(current.warnings)})


def order_in(book: Book, what: What) -> tuple[str, ...]:
    """The samples' names in order, of a sheet saved as CSV or of a case, by its code or file.

    Raises InputError for a file that is neither, or names no sample.
    """
    if Path(what).suffix.lower() not in CASE_SUFFIXES and (is_file(what) or Path(what).is_file()):
        return read_order(Path(what))
    names = tuple(row.sample for row in sheet_for(book, what).rows)
    if not names:
        raise FileError(Path(what), say("no zone to read"), say("a case with zones that are not like another"))
    return names


def save_csv(sheet: SheetResult, path: Path) -> None:
    """Write the sheet as CSV whose L, a, b are empty; raises InputError when it cannot be written."""
    write_text(path, format_order([_cells(row) for row in sheet.rows]))


def save_html(sheet: SheetResult, path: Path) -> None:
    """Write the sheet as a page to print; raises InputError when it cannot be written."""
    row, tooth = say("row"), say("tooth")
    table = PrintedTable(
        (row, tooth, say("zone"), say("sample"), "L*", "a*", "b*"),
        [(str(r.row), str(r.tooth or ""), zone_name(r.zone or ""), r.sample, "", "", "") for r in sheet.rows],
        numbers=(row, tooth),
    )
    mind = dict.fromkeys(joined([zone_name(r.zone or ""), r.note], ": ") for r in sheet.rows if r.note)
    lead = say("Read in this order: row n is the n-th reading. Living teeth are read wet.")
    followed = [say("Not read: {zones}.", zones=joined(sheet.like))] if sheet.like else []
    title = say("Readings of {case}", case=sheet.case)
    write_text(path, page(title, lead=lead, tables=[table], notes=[*mind, *followed]))


def sample_of(zone: CaseZone, case: Case) -> str:
    """The name under which a zone's reading is kept."""
    return zone.now.sample if isinstance(zone.now, SampleRef) else f"{case.case}-{zone.tooth}-{zone.zone}"


def _times(zone: CaseZone, case: Case, gum: int | None) -> int:
    if zone.tissue != "gingiva":
        return 1
    mottled = any(effect.tooth == zone.tooth and effect.effect in _MOTTLED for effect in case.effects)
    return gum or (MOTTLE_READINGS if mottled else 1)


def _row(zone: CaseZone, case: Case, instrument: Instrument | None) -> SheetRow:
    said = cautions_of(zone.zone, aperture_mm=aperture_of(instrument))
    return SheetRow(
        row=0,
        sample=sample_of(zone, case),
        tooth=zone.tooth,
        zone=zone.zone,
        tissue=zone.tissue,
        note=joined(said, "; ") if said else None,
    )


def _tabs(case: Case) -> list[GuideTab]:
    found = {}
    for zone in case.zones:
        if zone.target and isinstance(zone.target.colour, TabRef):
            tab = GuideTab(zone.target.colour.guide, zone.target.colour.tab, zone.zone, zone.tissue)
            found[tab.sample] = tab
    return list(found.values())


def _cells(row: SheetRow) -> tuple[str, ...]:
    return str(row.row), row.sample, str(row.tooth or ""), row.zone or "", row.note or ""


def _tab_row(tab: GuideTab) -> SheetRow:
    return SheetRow(row=0, sample=tab.sample, zone=tab.zone, tissue=tab.tissue, note=say("of the guide"))
