"""The commands on the lab's stains: calibrate, predict."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stainbook.cli.options import (
    Adapt,
    Illuminant,
    Json,
    Lots,
    Observer,
    Operator,
    Readings,
    asked_of,
    lab_of,
    lots_of,
)
from stainbook.cli.show import percent, print_document, print_table, print_warnings, tenths, viewing
from stainbook.language import joined, say

if TYPE_CHECKING:
    from stainbook.work.documents.schemas import CalibrateResult, PredictResult

Chips = Annotated[Path, typer.Argument(help="List of fired stripes: chips.csv.", show_default=False)]
Recipes = Annotated[Path, typer.Argument(help="List of layers to predict.", show_default=False)]
Stains = Annotated[
    Path | None, typer.Option(help="The lab's stains; by default those of the book.", show_default=False)
]
Bodies = Annotated[
    Path | None, typer.Option(help="Materials of the bodies; by default those of the book.", show_default=False)
]
Finish = Annotated[str, typer.Option(help="The finish of the piece: glaze or polish.")]
Programme = Annotated[str | None, typer.Option(help="The firing programme that is meant.", show_default=False)]


def calibrate(
    context: typer.Context,
    chips: Chips,
    readings: Readings,
    stains: Stains = None,
    bodies: Bodies = None,
    illuminant: Illuminant = None,
    observer: Observer = None,
    json: Json = False,
) -> None:
    """Learn the stains from fired stripes, store them in the book, say how well each stripe is described."""
    from stainbook.faces.stain_types import ChipFiles

    files = ChipFiles(chips, readings, stains, bodies)
    result = lab_of(context).stains.calibrate(files, asked_of(context, illuminant, observer))
    if json:
        print_document(result)
    else:
        print_warnings(result.warnings)
        _show_stains(result)


def predict(
    context: typer.Context,
    recipes: Recipes,
    readings: Readings,
    operator: Operator = None,
    lot: Lots = None,
    programme: Programme = None,
    finish: Finish = "glaze",
    illuminant: Illuminant = None,
    observer: Observer = None,
    adapt: Adapt = False,
    json: Json = False,
) -> None:
    """The colour that layers on a bare piece will have after the furnace, with its doubt."""
    from stainbook.faces.stain_types import Meant

    meant = Meant(operator, lots_of(lot), programme, finish)
    asked = asked_of(context, illuminant, observer, adapt)
    result = lab_of(context).stains.predict(recipes, readings, asked, meant)
    if json:
        print_document(result)
    else:
        print_warnings(result.warnings)
        _show_predicted(result)


def _show_stains(result: CalibrateResult) -> None:
    numbers = (say("stripes"), say("fit ΔE00"), say("forecast ΔE00"), say("colour kept per firing"))
    rows = [
        (
            one.stain,
            str(one.chips),
            "" if one.dE00_median is None else tenths(one.dE00_median),
            "" if one.dE00_left_out is None else tenths(one.dE00_left_out),
            percent(one.fade),
        )
        for one in result.stains
    ]
    print_table((say("stain"), *numbers), rows, numbers=numbers)
    print_warnings(joined([one.stain, line], ": ") for one in result.stains for line in one.warnings)


def _show_predicted(result: PredictResult) -> None:
    numbers = ("L*", "a*", "b*", say("9 in 10 within ΔE00"))
    rows = [
        (one.recipe, *map(tenths, (one.L, one.a, one.b, one.dE00_p90)), viewing(one.illuminant, one.observer))
        for one in result.recipes
    ]
    print_table((say("recipe"), *numbers, say("light")), rows, numbers=numbers)
    print_warnings(joined([one.recipe, line], ": ") for one in result.recipes for line in one.warnings)
