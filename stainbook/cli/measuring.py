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
from stainbook.language import say, say_as, say_n
from stainbook.words.figures import figure
from stainbook.words.places import zone_name

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
        said = say_n(
            "{stored} new of {n} sample: {samples}",
            "{stored} new of {n} samples: {samples}",
            len(result.samples),
            stored=result.stored,
            samples=some_of(result.samples),
        )
        print_line(said)


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
        raise typer.BadParameter(say("found one of --convert and --save, expected both or neither"))
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
    said = say_n(
        "{n} sample, {second} against {first}: median ΔE00 {median}; {unseen} not to be seen, {acceptable} acceptable",
        "{n} samples, {second} against {first}: median ΔE00 {median}; {unseen} not to be seen, {acceptable} acceptable",
        len(result.pairs),
        second=result.second,
        first=result.first,
        median=tenths(result.dE00_median),
        unseen=percent(result.imperceptible),
        acceptable=percent(result.acceptable),
    )
    print_line(said)
    way = result.conversion
    rows = [
        (name, *map(tenths, (getattr(part, axis) for part in parts)), figure(getattr(way.slope, axis), ".2f"))
        for name, axis in (("L*", "L"), ("a*", "a"), ("b*", "b"))
        for parts in [(result.offset, result.offset_low, result.offset_high, result.scatter)]
    ]
    numbers = (
        say("offset"), say_as("lower end of an interval", "from"), say_as("upper end of an interval", "to"),
        say("scatter"), say("slope"),
    )  # fmt: skip
    print_table(("", *numbers), rows, numbers=numbers)
    said = say(
        "converted: 95 of 100 within ΔE00 {radius}; each sample forecast from the others to {left_out}",
        radius=tenths(way.u),
        left_out=tenths(way.dE00_left_out),
    )
    print_line(said)


def _show_sheet(result: SheetResult) -> None:
    said = say_n("{case}: {n} reading", "{case}: {n} readings, in this order", len(result.rows), case=result.case)
    print_line(said)
    rows = [
        (str(row.row), row.sample, str(row.tooth or ""), zone_name(row.zone or ""), row.note or "")
        for row in result.rows
    ]
    columns = (say("row"), say("sample"), say("tooth"), say("zone"), say("mind"))
    print_table(columns, rows, numbers=(columns[0], columns[2]))
    if result.like:
        print_message(say("stainbook: not read, with wider doubt: {zones}", zones=some_of(result.like)))


def _show_instruments(result: InstrumentResult) -> None:
    rows = [
        (
            one.instrument,
            viewing(one.illuminant, one.observer),
            one.geometry or "",
            one.specular or "",
            figure(one.aperture_mm) if one.aperture_mm else "",
            one.backing or "",
            _shift(one.piece_offset),
        )
        for one in result.instruments
    ]
    aperture = say("aperture mm")
    columns = (
        say("instrument"), say("its L*a*b*"), say("geometry"), say("specular"), aperture, say("backing"),
        say("piece − plate L* a* b*"),
    )  # fmt: skip
    print_table(columns, rows, numbers=(aperture,))


def _shift(shift: LabShift | None) -> str:
    return " ".join(map(tenths, (shift.L, shift.a, shift.b))) if shift else ""
