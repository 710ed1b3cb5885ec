"""The command on a case's palette: plan."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stainbook.cli.cases import Guide, Readings, Stains
from stainbook.cli.options import (
    Adapt,
    Illuminant,
    Json,
    Lots,
    Observer,
    Operator,
    Thresholds,
    asked_of,
    lots_of,
    session,
)
from stainbook.cli.show import in_ten, print_document, print_line, print_table, print_warnings

if TYPE_CHECKING:
    from stainbook.work.documents.plan_schemas import PlanResult

CaseFile = Annotated[Path, typer.Argument(help="A case file.", show_default=False)]
Mixes = Annotated[
    int | None,
    typer.Option("--mixes", help="Most mixes; the case's limit when left out, else four.", show_default=False),
]
TradeOff = Annotated[bool, typer.Option("--trade-off", help="Also what one to six mixes would do; takes longer.")]
Grams = Annotated[
    float | None, typer.Option(help="Grams of each mix to prepare, to print weights too.", show_default=False)
]
ScaleStep = Annotated[
    float | None, typer.Option(help="Step of the scale, in grams; else the lab's own, else 0.01.", show_default=False)
]
Html = Annotated[Path | None, typer.Option("--html", help="Also save it as a page to print.", show_default=False)]


def plan(
    context: typer.Context,
    case: CaseFile,
    mixes: Mixes = None,
    trade_off: TradeOff = False,
    grams: Grams = None,
    scale_step: ScaleStep = None,
    html: Html = None,
    operator: Operator = None,
    lot: Lots = None,
    stains: Stains = None,
    guide: Guide = None,
    readings: Readings = None,
    thresholds: Thresholds = None,
    illuminant: Illuminant = None,
    observer: Observer = None,
    adapt: Adapt = False,
    json: Json = False,
) -> None:
    """One set of few mixes for the whole case in one firing, and the coats on each zone, in the order of work."""
    from stainbook.book import open_book
    from stainbook.work.case.case_plan import PlanAsked, plan_file
    from stainbook.work.case.problems import AdviceAsked
    from stainbook.work.reading.lab_settings import scale_step_in
    from stainbook.work.sheets.plan_sheet import save_html

    advice = AdviceAsked(
        asked=asked_of(context, illuminant, observer, adapt=adapt),
        operator=operator,
        lots=lots_of(lot),
        threshold_names=thresholds or (),
        stains=stains,
        guide=guide,
        readings=readings or (),
    )
    with open_book(session(context).book) as book:
        step = scale_step_in(book) if scale_step is None else scale_step
        result = plan_file(book, case, PlanAsked(advice, mixes, trade_off, grams, step))
    if html is not None:
        save_html(result, html)
    if json:
        print_document(result)
    else:
        print_warnings(result.warnings)
        _show(result)


def _show(plan: PlanResult) -> None:
    from stainbook.work.sheets import plan_sheet as sheet

    print_line(f"{plan.case}: {sheet.chances(plan)}")
    if plan.pots:
        print_table(("mix", "parts", "weigh", "zones"), sheet.pot_rows(plan.pots), numbers=("zones",))
    layers = sheet.passes(plan)
    for number, strokes in enumerate(layers):
        print_line(sheet.heading(number, len(layers)))
        print_table(("tooth", "zone", "coats × mix", "then"), sheet.stroke_rows(strokes), numbers=("tooth",))
    for line in (*(f"By eye: {one}" for one in plan.effects), *sheet.left_alone(plan)):
        print_line(line)
    if plan.trade_off:
        rows = [(str(one.mixes), in_ten(one.accept), in_ten(one.accept_within)) for one in plan.trade_off]
        print_table(("mixes", "after this firing", "within the firings left"), rows, numbers=("mixes",))
