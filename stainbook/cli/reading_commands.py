"""The commands on readings alone: convert, compare."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stainbook.cli.options import (
    Adapt,
    Illuminant,
    InstrumentName,
    Json,
    Observer,
    Readings,
    Thresholds,
    asked_of,
    lab_of,
)
from stainbook.cli.show import print_document, print_table, print_warnings, tenths, viewing
from stainbook.language import say
from stainbook.stage_words import stage_name
from stainbook.words.states import TOLERANCE, VISIBLE

if TYPE_CHECKING:
    from stainbook.work.documents.schemas import CompareResult, ConvertResult

Targets = Annotated[Path, typer.Argument(help="Readings of the targets, each named as its sample.", show_default=False)]

Save = Annotated[
    Path | None,
    typer.Option(
        "--save", help="Also write the readings themselves: .cxf, .txt (CGATS), else CSV.", show_default=False
    ),
]
Pieces = Annotated[
    bool,
    typer.Option(
        "--pieces", help="Samples are pieces, targets flat plates: take the instrument's offset between them off."
    ),
]


def convert(
    context: typer.Context,
    readings: Readings,
    illuminant: Illuminant = None,
    observer: Observer = None,
    adapt: Adapt = False,
    instrument: InstrumentName = None,
    save: Save = None,
    json: Json = False,
) -> None:
    """Readings to L*, a*, b*, C*, h, each with its doubt."""
    asked = asked_of(context, illuminant, observer, adapt, instrument)
    result = lab_of(context).readings.convert(readings, asked, save=save)
    if json:
        print_document(result)
    else:
        print_warnings(result.warnings)
        _show_converted(result)


def compare(
    context: typer.Context,
    samples: Readings,
    targets: Targets,
    thresholds: Thresholds = None,
    illuminant: Illuminant = None,
    observer: Observer = None,
    adapt: Adapt = False,
    instrument: InstrumentName = None,
    pieces: Pieces = False,
    json: Json = False,
) -> None:
    """ΔE00 to the target of the same name, and whether it is in tolerance."""
    asked = asked_of(context, illuminant, observer, adapt, instrument)
    result = lab_of(context).readings.compare(samples, targets, asked, thresholds=thresholds or (), pieces=pieces)
    if json:
        print_document(result)
    else:
        print_warnings(result.warnings)
        _show_compared(result)


def _show_converted(result: ConvertResult) -> None:
    numbers = ("L*", "a*", "b*", "C*", "h °", "± ΔE00", say("repeats"))
    rows = [
        (
            one.sample,
            stage_name(one.stage or ""),
            *map(tenths, (one.L, one.a, one.b, one.C, one.h, one.u)),
            viewing(one.illuminant, one.observer),
            str(one.repeats),
        )
        for one in result.readings
    ]
    columns = (say("sample"), say("stage"), *numbers[:-1], say("light"), numbers[-1])
    print_table(columns, rows, numbers=numbers)


def _show_compared(result: CompareResult) -> None:
    numbers = ("ΔE00", "± ΔE00", "ΔL′", "ΔC′", "ΔH′")
    rows = [
        (
            one.sample,
            *map(tenths, (one.dE00, one.u, one.dL, one.dC, one.dH)),
            TOLERANCE[one.grade],
            VISIBLE.get(one.visibility or "", ""),
            one.thresholds or "",
            viewing(one.illuminant, one.observer),
        )
        for one in result.pairs
    ]
    more = (say("tolerance"), say("visible"), say("thresholds"), say("light"))
    print_table((say("sample"), *numbers, *more), rows, numbers=numbers)
