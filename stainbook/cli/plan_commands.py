"""The command on a case's palette: plan."""

from __future__ import annotations

from collections.abc import Sequence
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
    lab_of,
    lots_of,
)
from stainbook.cli.show import print_document, print_line, print_table, print_warnings
from stainbook.language import joined, say
from stainbook.words.chances import chance

if TYPE_CHECKING:
    from stainbook.work.documents.document_parts import Document
    from stainbook.work.documents.plan_schemas import PlanResult

CaseFiles = Annotated[
    list[str],
    typer.Argument(
        metavar="CASE…", help="A case file, or the code of a case; several share a firing.", show_default=False
    ),
]
Mixes = Annotated[
    int | None,
    typer.Option("--mixes", help="Most mixes; by default the case's limit, else four.", show_default=False),
]
TradeOff = Annotated[bool, typer.Option("--trade-off", help="Also what one to six mixes would do; takes longer.")]
AtHand = Annotated[
    bool, typer.Option("--at-hand", help="Of the lab's standing mixes alone, in one pass: nothing to weigh.")
]
Grams = Annotated[
    float | None, typer.Option(help="Grams of each mix to prepare, to print weights too.", show_default=False)
]
ScaleStep = Annotated[
    float | None, typer.Option(help="Step of the scale, in grams; else the lab's own, else 0.01.", show_default=False)
]
Html = Annotated[Path | None, typer.Option("--html", help="Also save it as a page to print.", show_default=False)]


def plan(
    context: typer.Context,
    cases: CaseFiles,
    mixes: Mixes = None,
    trade_off: TradeOff = False,
    at_hand: AtHand = False,
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
    """One set of few mixes for the whole case in one firing, and the coats on each zone, in the order of work.

    Several cases share the mixes of one firing; an arch goes alone.
    """
    from stainbook.faces.case_types import AdviceAsked, PlanAsked

    advice = AdviceAsked(
        asked=asked_of(context, illuminant, observer, adapt=adapt),
        operator=operator,
        lots=lots_of(lot),
        threshold_names=thresholds or (),
        stains=stains,
        guide=guide,
        readings=readings or (),
    )
    lab = lab_of(context)
    step = lab.settings.scale_step() if scale_step is None else scale_step
    wish = PlanAsked(advice, mixes, trade_off, grams, step, at_hand)
    if len(cases) == 1:
        result = lab.case(cases[0]).planned(wish, html=html)
        _print(result, [result], json=json)
    else:
        tray = lab.planned(cases, wish, html=html)
        _print(tray, tray.cases, json=json)


def _print(result: Document, plans: Sequence[PlanResult], *, json: bool) -> None:
    if json:
        print_document(result)
        return
    print_warnings(result.warnings)
    for one in plans:
        _show(one)


def _show(plan: PlanResult) -> None:
    from stainbook.faces import plan_words as sheet

    print_line(joined([plan.case, sheet.chances(plan)], ": "))
    if sheet.expected(plan):
        print_line(sheet.expected(plan))
    if plan.pots:
        zones = say("zones")
        print_table((say("mix"), say("parts"), say("weigh"), zones), sheet.pot_rows(plan.pots), numbers=(zones,))
    layers = sheet.passes(plan)
    for number, strokes in enumerate(layers):
        print_line(sheet.heading(plan, number, len(layers)))
        heads = (say("tooth"), say("zone"), say("mix and coats"), say("then"))
        print_table(heads, sheet.stroke_rows(strokes), numbers=heads[:1])
    for line in (*(say("By eye: {effect}", effect=one) for one in plan.effects), *sheet.not_painted(plan)):
        print_line(line)
    lights = {(zone.tooth, zone.zone): zone.lights for zone in plan.zones}
    if rows := sheet.light_rows(lights):
        print_table(sheet.LIGHT_HEADS, rows, numbers=sheet.LIGHT_NUMBERS)
        counted = {(zone.tooth, zone.zone) for zone in plan.zones if zone.counted}
        for line in sheet.piece_in_lights({key: seen for key, seen in lights.items() if key in counted}):
            print_line(line)
    if plan.trade_off:
        few = [(str(one.mixes), chance(one.accept), chance(one.accept_within)) for one in plan.trade_off]
        mixes = say("mixes")
        columns = (mixes, say("after this firing"), say("within the firings that remain"))
        print_table(columns, few, numbers=(mixes,))
