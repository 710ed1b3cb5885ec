"""The commands around the instrument: sheet, read, instrument."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stainbook.cli.options import Illuminant, InstrumentName, Json, Observer, asked_of, lab_of
from stainbook.cli.show import (
    percent,
    print_document,
    print_line,
    print_message,
    print_table,
    print_warnings,
    tenths,
    viewing,
)
from stainbook.errors import some_of

if TYPE_CHECKING:
    from stainbook.work.documents.day_schemas import AgreeResult, InstrumentResult, LabShift, SheetResult

MOST_TYPED = 1_000_000  # characters from standard input

CaseFile = Annotated[
    str, typer.Argument(metavar="CASE", help="A case file, or the code of a case.", show_default=False)
]
Guide = Annotated[
    Path | None, typer.Option(help="The lab's guide; by default guide.csv beside the case, or the book's.")
]
SheetCsv = Annotated[Path | None, typer.Option("--csv", help="Also save it as CSV, to fill in.", show_default=False)]
SheetHtml = Annotated[Path | None, typer.Option("--html", help="Also save it as a page to print.", show_default=False)]
Gum = Annotated[
    int | None,
    typer.Option(min=1, max=20, help="Readings of each gum zone; three where the case lists a mottle, else one."),
]
Targets = Annotated[bool, typer.Option("--targets", help="Add the guide tabs that the targets name.")]
Source = Annotated[str, typer.Argument(help="File of readings; - for what is typed or pasted.", show_default=False)]
Order = Annotated[
    str | None,
    typer.Option(help="Sheet saved as CSV, or case file: row n is its n-th sample.", show_default=False),
]
Stage = Annotated[str | None, typer.Option(help="Stage of rows that name none.", show_default=False)]
Name = Annotated[str | None, typer.Argument(help="The instrument's name, as readings carry it.", show_default=False)]
Light = Annotated[str | None, typer.Option(help="Light of the L,a,b that it shows, or unknown.", show_default=False)]
Geometry = Annotated[str | None, typer.Option(help="Such as 45/0 or sphere.", show_default=False)]
Specular = Annotated[str | None, typer.Option(help="excluded or included.", show_default=False)]
Aperture = Annotated[float | None, typer.Option(metavar="MM", help="Width of what it sees.", show_default=False)]
Backing = Annotated[str | None, typer.Option(help="What lies behind the samples.", show_default=False)]
Notes = Annotated[str | None, typer.Option(help="Anything else.", show_default=False)]

First = Annotated[Path, typer.Argument(help="Readings of shared samples by one instrument.", show_default=False)]
Second = Annotated[Path, typer.Argument(help="Readings of the same samples by the other.", show_default=False)]
Convert = Annotated[
    Path | None, typer.Option(help="L,a,b readings of the first to take to the second's scale.", show_default=False)
]
Save = Annotated[Path | None, typer.Option("--save", help="Where converted readings go.", show_default=False)]
PlateToPiece = Annotated[
    str | None,
    typer.Option(
        metavar="INSTRUMENT",
        help="FIRST are flat plates, SECOND pieces of the same ceramic: store the difference for this instrument.",
        show_default=False,
    ),
]


def sheet(
    context: typer.Context,
    case: CaseFile,
    instrument: InstrumentName = None,
    gum: Gum = None,
    targets: Targets = False,
    guide: Guide = None,
    csv: SheetCsv = None,
    html: SheetHtml = None,
    json: Json = False,
) -> None:
    """Which readings to take of a case, in which order: row n is the n-th reading."""
    result = (
        lab_of(context)
        .case(case)
        .sheet(instrument=instrument, gum=gum, targets=targets, guide=guide, csv=csv, html=html)
    )
    if json:
        print_document(result)
    else:
        print_warnings(result.warnings)
        _show_sheet(result)


def read(
    context: typer.Context,
    readings: Source,
    order: Order = None,
    stage: Stage = None,
    instrument: InstrumentName = None,
    illuminant: Illuminant = None,
    observer: Observer = None,
    json: Json = False,
) -> None:
    """Readings into the book: from a file, or typed and pasted; by name, or by the order of a sheet."""
    source = sys.stdin.read(MOST_TYPED) if readings == "-" else Path(readings)
    asked = asked_of(context, illuminant, observer, instrument=instrument)
    result = lab_of(context).readings.take_in(source, asked, order=order, stage=stage)
    if json:
        print_document(result)
    else:
        print_warnings(result.warnings)
        print_line(f"{result.stored} new of {len(result.samples)} samples: {some_of(result.samples)}")


def instrument(
    context: typer.Context,
    name: Name = None,
    illuminant: Light = None,
    observer: Annotated[int | None, typer.Option(help="Observer likewise, 2 or 10.", show_default=False)] = None,
    geometry: Geometry = None,
    specular: Specular = None,
    aperture: Aperture = None,
    backing: Backing = None,
    notes: Notes = None,
    json: Json = False,
) -> None:
    """Set an instrument up once; without a name, list them.

    What is set here holds for all its readings that do not say otherwise.
    """
    from stainbook.faces.reading_types import Stated

    stated = Stated(illuminant, observer, geometry, specular, aperture, backing, notes)
    readings = lab_of(context).readings
    result = readings.instruments() if name is None else readings.set_up(name, stated)
    if json:
        print_document(result)
    else:
        print_warnings(result.warnings)
        _show_instruments(result)


def agree(
    context: typer.Context,
    first: First,
    second: Second,
    convert: Convert = None,
    save: Save = None,
    plate_to_piece: PlateToPiece = None,
    illuminant: Illuminant = None,
    observer: Observer = None,
    json: Json = False,
) -> None:
    """How two instruments agree on shared samples, and readings taken from one's scale to the other's."""
    if (convert is None) != (save is None):
        raise typer.BadParameter("found one of --convert and --save, expected both or neither")
    asked = asked_of(context, illuminant, observer)
    readings = lab_of(context).readings
    result = readings.agree(first, second, asked, convert=(convert, save) if convert and save else None)
    if plate_to_piece:
        readings.keep_piece_offset(plate_to_piece, result)
    if json:
        print_document(result)
    else:
        print_warnings(result.warnings)
        _show_agreement(result)


def _show_agreement(result: AgreeResult) -> None:
    print_line(
        f"{len(result.pairs)} samples, {result.second} against {result.first}: median ΔE00 "
        f"{tenths(result.dE00_median)}; {percent(result.imperceptible)} not to be seen, {percent(result.acceptable)} "
        "acceptable"
    )
    way = result.conversion
    rows = [
        (name, *map(tenths, (getattr(part, axis) for part in parts)), f"{getattr(way.slope, axis):.2f}")
        for name, axis in (("L*", "L"), ("a*", "a"), ("b*", "b"))
        for parts in [(result.offset, result.offset_low, result.offset_high, result.scatter)]
    ]
    numbers = ("offset", "from", "to", "scatter", "slope")
    print_table(("", *numbers), rows, numbers=numbers)
    others = f"each sample forecast from the others to {tenths(way.dE00_left_out)}"
    print_line(f"converted: 95 of 100 within ΔE00 {tenths(way.u)}; {others}")


def _show_sheet(result: SheetResult) -> None:
    print_line(f"{result.case}: {len(result.rows)} readings, in this order")
    rows = [(str(row.row), row.sample, str(row.tooth or ""), row.zone or "", row.note or "") for row in result.rows]
    print_table(("row", "sample", "tooth", "zone", "mind"), rows, numbers=("row", "tooth"))
    if result.like:
        print_message(f"stainbook: not read, with wider doubt: {some_of(result.like)}")


def _show_instruments(result: InstrumentResult) -> None:
    rows = [
        (
            one.instrument,
            viewing(one.illuminant, one.observer),
            one.geometry or "",
            one.specular or "",
            f"{one.aperture_mm:g}" if one.aperture_mm else "",
            one.backing or "",
            _shift(one.piece_offset),
        )
        for one in result.instruments
    ]
    columns = ("instrument", "its L*a*b*", "geometry", "specular", "aperture mm", "backing", "piece − plate L* a* b*")
    print_table(columns, rows, numbers=("aperture mm",))


def _shift(shift: LabShift | None) -> str:
    return " ".join(map(tenths, (shift.L, shift.a, shift.b))) if shift else ""
